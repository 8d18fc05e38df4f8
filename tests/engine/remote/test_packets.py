"""What datagrams ask for: OSC 1.0 as its specification has it, and any bytes at all."""

import logging
import struct
from contextlib import suppress

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from pythonosc.osc_bundle_builder import OscBundleBuilder
from pythonosc.osc_message_builder import OscMessageBuilder

from showcaller.engine.osc_read import LONGEST, UnreadError
from showcaller.engine.remote.packets import read_packet

AT_ONCE = (1).to_bytes(8, "big")  # OSC 1.0, 'OSC Time Tag Semantics': 63 zero bits and a one


def osc(address, *args):
    builder = OscMessageBuilder(address)
    for arg in args:
        builder.add_arg(*arg) if isinstance(arg, tuple) else builder.add_arg(arg)
    return builder.build().dgram


def bundle(*parts, tag=AT_ONCE):
    return b"#bundle\0" + tag + b"".join(struct.pack(">i", len(p)) + p for p in parts)


GO = osc("/showcaller/go", 1.0)


@given(st.binary(max_size=400))
@example(b"\xb2\0\0\0")
@example(b"")
@example(b"/\0\0\0,\xff\0\0")
def test_any_bytes_are_asks_or_a_sentence(data):
    with suppress(UnreadError):  # nothing else may come out
        for message in read_packet(data):
            assert message.what in ("go", "standby", "hold", "note")


@given(st.binary(min_size=1, max_size=60))
def test_nothing_is_written_beside_the_sentence(tags):
    """Whatever types a message claims, the library writes no line of its own: a flood would fill a disk."""
    records = []
    handler = logging.Handler()
    handler.emit = records.append
    logging.getLogger().addHandler(handler)
    try:
        with suppress(UnreadError):
            list(read_packet(b"/showcaller/go\0\0," + tags + bytes(4 - (len(tags) + 1) % 4) + bytes(64)))
    finally:
        logging.getLogger().removeHandler(handler)
    assert records == []


@given(st.binary(max_size=80), st.integers(0, 200), st.binary(min_size=1, max_size=4))
def test_a_valid_packet_with_bytes_changed_is_asks_or_a_sentence(tail, at, put):
    data = bytearray(bundle(GO, bundle(osc("/showcaller/note", "hi", 2, True)), tail))
    data[at : at + len(put)] = put
    with suppress(UnreadError):
        list(read_packet(bytes(data)))


# OSC 1.0 argument types, and T F N I of its optional ones.
@pytest.mark.parametrize(
    ("args", "pressure"),
    [
        ((), None), ((1.0,), 1.0), ((0.0,), 0.0), ((1,), 1.0), ((0,), 0.0), ((-0.5,), -0.5), ((True,), 1.0),
        ((False,), 0.0), (((None, "N"),), 0.0), ((float("nan"),), 0.0), (("text",), None), ((0.0, 1.0), 0.0),
    ],
)  # fmt: skip
def test_the_first_argument_is_the_pressure(args, pressure):
    assert [m.pressure for m in read_packet(osc("/showcaller/go", *args))] == [pressure]


def test_an_impulse_is_a_press():
    [message] = read_packet(b"/showcaller/go\0\0,I\0\0")
    assert message.pressure == 1


def test_bundles_are_opened_also_inside_one_another():
    note = osc("/showcaller/note", "sängerin")
    assert [m.what for m in read_packet(bundle(GO, bundle(note, bundle(note))))] == ["go", "note", "note"]
    built = OscBundleBuilder(1)  # the library's own builder, for a second opinion
    built.add_content(OscMessageBuilder("/showcaller/hold").build())
    assert len(built.build().dgram) > 16
    data = GO
    for _ in range(9):
        data = bundle(data)
    with pytest.raises(UnreadError, match="more than 8 deep"):
        list(read_packet(data))


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"\xb2\0\0\0", "4 bytes that are not an OSC message|text that is not UTF-8"),
        (osc("/other/go"), "'/other/go' is none of /showcaller/go, /showcaller/standby"),
        (osc("go"), "is none of|not an OSC message"),
        (osc("/showcaller/fire"), "'/showcaller/fire' is none of"),
        (b"/showcaller/note\0\0\0\0,s\0\0\xff\xfe\0\0", "text that is not UTF-8"),
        (bundle(GO, tag=struct.pack(">II", 3_900_000_000, 0)), "a time tag, which is not waited for"),
        (b"/showcaller/go\0\0,cf\0\0\0\0A\0\0\0\0", "an argument of type 'c', which is not read here"),
        (bundle(GO)[:-4], "parts do not add up"),
        (b"#bundle\0\0\0", "ends before its time tag"),
        (b"x" * (LONGEST + 1), "a packet of 4097 bytes; those read here are 4096 at most"),
    ],
)
def test_what_cannot_be_used_is_said_in_a_sentence(data, sentence):
    with pytest.raises(UnreadError, match=sentence):
        list(read_packet(data))
