"""Bytes against the published examples and layouts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pythonosc.osc_message import OscMessage as Parsed

from showcaller.engine.encode import EncodeError, encode
from showcaller.model import (
    MidiControl,
    MidiMachineControl,
    MidiNote,
    MidiProgram,
    MidiShowControl,
    MidiSysex,
    OscMessage,
    TypedArg,
)


def osc(address, *args):
    return encode(OscMessage(kind="osc", outlet="o", address=address, args=args))


def msc(**fields):
    return encode(MidiShowControl(kind="msc", outlet="o", **fields)).hex(" ").upper()


# OSC 1.0 specification, "OSC Message Examples" (opensoundcontrol.org, CNMAT).
def test_osc_specification_example_oscillator():
    expected = "2f6f7363696c6c61746f722f342f6672657175656e6379002c66000043dc0000"
    assert osc("/oscillator/4/frequency", 440.0).hex() == expected


def test_osc_specification_example_foo():
    expected = "2f666f6f000000002c69697366660000000003e8ffffffff68656c6c6f0000003f9df3b640b5b22d"
    assert osc("/foo", 1000, -1, "hello", 1.234, 5.678).hex() == expected


@given(st.lists(st.one_of(st.integers(-(2**31), 2**31 - 1), st.booleans(), st.text("abc é☂", max_size=9))))
def test_osc_is_read_back_by_an_independent_parser_and_padded_to_four(args):
    data = osc("/a/b", *args)
    assert len(data) % 4 == 0
    assert Parsed(data).params == args


def test_osc_typed_arguments_and_what_does_not_fit():
    data = osc(
        "/x", TypedArg(tag="f", value=2), TypedArg(tag="b", value="00ff"), TypedArg(tag="h", value=2**40)
    )
    assert Parsed(data).params == [2.0, b"\x00\xff", 2**40]
    with pytest.raises(EncodeError, match=r"/x: argument 1, 'blue', is not of OSC type 'i'"):
        osc("/x", TypedArg(tag="i", value="blue"))
    with pytest.raises(EncodeError, match="too large"):
        osc("/x", 2**40)


# RP-002 MIDI Show Control 1.0: F0 7F <device> 02 <format> <command> <data> F7; its "Standard Specifications"
# give cue 235.6, list 36.6, path 59 as 32 33 35 2E 36 00 33 36 2E 36 00 35 39.
def test_msc_go_with_the_recommended_practice_own_example():
    expected = "F0 7F 7F 02 01 01 32 33 35 2E 36 00 33 36 2E 36 00 35 39 F7"
    assert msc(format="lighting", command="go", cue="235.6", list="36.6", path="59") == expected


@pytest.mark.parametrize(
    ("command", "code"),
    [("go", "01"), ("stop", "02"), ("resume", "03"), ("all_off", "08"), ("reset", "0A")],
)
def test_msc_general_commands_without_data(command, code):
    assert msc(device=5, format="sound", command=command) == f"F0 7F 05 02 10 {code} F7"


def test_msc_timed_go_load_and_set():
    # hr = 0 tt hhhhh; 25 frames a second is tt = 01 (MIDI Time Code's rate bits).
    timed = msc(format="video", command="timed_go", time="01:02:03:04", cue="7")
    assert timed == "F0 7F 7F 02 30 04 21 02 03 04 00 37 F7"
    assert msc(format="lighting", command="load", cue="12.5") == "F0 7F 7F 02 01 05 31 32 2E 35 F7"
    assert msc(format="lighting", command="set", control=300, value=129) == "F0 7F 7F 02 01 06 2C 02 01 01 F7"


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"command": "timed_go", "cue": "1"}, "needs a time"),
        ({"command": "load"}, "needs a cue"),
        ({"command": "set", "control": 1}, "needs control and value"),
        ({"command": "go", "list": "1"}, "a list needs a cue"),
        ({"command": "go", "cue": "1", "path": "1"}, "a path needs a list"),
        ({"command": "reset", "cue": "1"}, "carries no cue"),
    ],
)
def test_msc_that_cannot_be_sent_is_one_sentence(fields, sentence):
    with pytest.raises(EncodeError, match=sentence):
        msc(**fields)


# MIDI Machine Control: STOP 01, PLAY 02, LOCATE 44 06 01 hr mn sc fr ff (as instrument makers' charts quote).
def test_mmc():
    def mmc(**fields):
        return encode(MidiMachineControl(kind="mmc", outlet="o", **fields), "30").hex(" ").upper()

    assert mmc(command="stop") == "F0 7F 7F 06 01 F7"
    assert mmc(command="play", device=3) == "F0 7F 03 06 02 F7"
    assert mmc(command="locate", time="01:37:52:16") == "F0 7F 7F 06 44 06 01 61 25 34 10 00 F7"
    with pytest.raises(EncodeError, match="needs a time"):
        mmc(command="locate")


def test_midi_channel_messages_and_sysex():
    # MIDI 1.0: 9n note on, 8n note off, Bn control change, Cn programme change; channel 1 is n = 0.
    note = MidiNote(kind="note", outlet="o", channel=10, note=36, velocity=127)
    assert encode(note).hex() == "99247f"
    assert encode(note.changed(on=False, velocity=0)).hex() == "892400"
    assert encode(MidiControl(kind="control", outlet="o", channel=1, control=7, value=100)).hex() == "b00764"
    assert encode(MidiProgram(kind="program", outlet="o", channel=16, program=5)).hex() == "cf05"
    sysex = MidiSysex(kind="sysex", outlet="o", data="7E 7F 06 01")
    assert encode(sysex).hex() == "f07e7f0601f7"


def test_an_impulse_is_a_tag_without_bytes():
    """OSC 1.0, "Additional (nonstandard) argument types": ``I`` is Infinitum, no bytes are allocated."""
    args = [1, {"tag": "I"}, "a", {"tag": "N"}, {"tag": "I"}]
    message = OscMessage.model_validate({"kind": "osc", "outlet": "o", "address": "/I", "args": args})
    assert encode(message) == b"/I\0\0,iIsNI\0\0\0\0\0\1a\0\0\0"
    alone = OscMessage.model_validate({"kind": "osc", "outlet": "o", "address": "/I", "args": [{"tag": "I"}]})
    assert encode(alone) == b"/I\0\0,I\0\0"
