"""Which cue a desk's message means. MIDI Show Control by RP-002, MIDI by MIDI 1.0, OSC by OSC 1.0."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError
from pythonosc import slip

from showcaller.engine.osc_read import LONGEST
from showcaller.engine.reports.desk import AGAIN_NS, DeskHeard, Thinning
from showcaller.engine.reports.frames import Frames
from showcaller.engine.reports.meaning import midi_means, number_of, osc_means
from showcaller.model.reports import DeskReport, can_tell
from showcaller.run.state import Mark

REPORT = TypeAdapter(DeskReport)
IN_PATH = {"kind": "osc", "port": 8000, "allow": ["10.0.0.5"], "address": "/cue/{cue}/fired"}
IN_ARGUMENT = {**IN_PATH, "address": "/fired {cue}"}
BY_NAME = {**IN_PATH, "address": None, "cues": [{"address": "/chorus", "cue": "42.5"}]}


@pytest.mark.parametrize(
    ("report", "address", "params", "number"),
    [
        (IN_PATH, "/cue/42/fired", [], "42"),
        (IN_PATH, "/cue/42.5/fired", [1], "42.5"),
        (IN_PATH, "/cue/42/fired", [0.0], None),
        (IN_PATH, "/cue/42/fired", [False], None),
        (IN_PATH, "/cue/42/loaded", [], None),
        (IN_PATH, "/cue/all/fired", [], None),
        (IN_PATH, "/cue/42/fired/now", [], None),
        (IN_ARGUMENT, "/fired", [42], "42"),
        (IN_ARGUMENT, "/fired", ["12.5"], "12.5"),
        (IN_ARGUMENT, "/fired", [12.100000381469727], "12.1"),
        (IN_ARGUMENT, "/fired", [True], None),
        (IN_ARGUMENT, "/fired", [], None),
        (IN_ARGUMENT, "/fired", [float("nan")], None),
        (BY_NAME, "/chorus", ["on"], "42.5"),
        (BY_NAME, "/chorus", [0], None),
        (BY_NAME, "/verse", [], None),
    ],
)
def test_an_osc_message_means_the_cue_whose_number_stands_where_the_show_says(
    report, address, params, number
):
    found = osc_means(REPORT.validate_python(report), address, params)
    assert found == (None if number is None else Decimal(number))


MSC = {"kind": "msc", "port": "desk", "device": 3}


NOTES = {"kind": "notes", "port": "p", "channel": 2, "cues": [{"number": 60, "cue": "7.5"}]}


# RP-002: F0 7F device 02 format command data F7; cue 235.6, list 36.6, path 59 is
# 32 33 35 2E 36 00 33 36 2E 36 00 35 39 (its Standard Specifications). GO is 01, TIMED GO
# 04 with five bytes of time before the cue.
@pytest.mark.parametrize(
    ("report", "message", "number"),
    [
        (MSC, "f07f03020101 3233352e36 00 33362e36 00 3539 f7", "235.6"),
        (MSC, "f07f03020101 3432 f7", "42"),
        (MSC, "f07f7f020101 3432 f7", "42"),
        (MSC, "f07f04020101 3432 f7", None),
        (MSC, "f07f03020104 0000020000 3432 00 31 f7", "42"),
        (MSC, "f07f03020105 3432 f7", None),
        (MSC, "f07f03020101 f7", None),
        (MSC, "f07f030601f7", None),
        ({**MSC, "list": "2"}, "f07f03020101 3432 00 31 f7", None),
        ({**MSC, "list": "2"}, "f07f03020101 3432 00 32 f7", "42"),
        (NOTES, "913c40", "7.5"),
        (NOTES, "913c00", None),
        (NOTES, "913d40", None),
        ({"kind": "notes", "port": "p"}, "903c40", "60"),
        ({"kind": "notes", "port": "p"}, "803c40", None),
        ({"kind": "programs", "port": "p"}, "c02a", "42"),
        ({"kind": "programs", "port": "p"}, "c12a", None),
        ({"kind": "notes", "port": "p"}, "908001", None),
        ({"kind": "programs", "port": "p"}, "c080", None),
    ],
)  # fmt: skip
def test_a_midi_message_means_the_cue_that_the_show_says(report, message, number):
    found = midi_means(REPORT.validate_python(report), bytes.fromhex(message))
    assert found == (None if number is None else Decimal(number))


@given(
    st.binary(max_size=40),
    st.sampled_from([MSC, {"kind": "notes", "port": "p"}, {"kind": "programs", "port": "p"}]),
)
def test_whatever_comes_by_midi_it_is_a_number_or_nothing(message, report):
    read = REPORT.validate_python(report)
    number = midi_means(read, message)
    assert number is None or can_tell(read, number)


@given(st.one_of(st.text(max_size=9), st.floats(), st.integers(), st.none(), st.booleans()))
def test_a_number_is_whole_or_decimal_and_never_below_zero(value):
    number = number_of(value)
    assert number is None or (number.is_finite() and number >= 0)


@pytest.mark.parametrize(
    "address", ["/cue/fired", "cue/{cue}", "/cue/{cue}/{cue}", "/cue{cue}", "/a {cue} b", "/a/{cue} {cue}"]
)
def test_an_address_that_does_not_say_where_the_number_stands_is_refused(address):
    with pytest.raises(ValidationError, match="does not say where the cue's number stands"):
        REPORT.validate_python({**IN_PATH, "address": address})


PACKETS = st.lists(st.binary(min_size=1, max_size=60), max_size=6)


@given(PACKETS, st.integers(1, 7), st.sampled_from(["slip", "length"]))
def test_a_stream_comes_apart_into_the_packets_it_was_made_of(packets, step, framing):
    """python-osc's own SLIP is the other side."""
    stream = b"".join(
        bytes(slip.encode(p)) if framing == "slip" else len(p).to_bytes(4, "big") + p for p in packets
    )
    frames = Frames(framing)
    found = [p for at in range(0, len(stream), step) for p in frames.take(stream[at : at + step])]
    assert found == packets


@given(st.lists(st.binary(max_size=300), max_size=60), st.sampled_from(["slip", "length"]))
def test_rubbish_in_a_stream_never_grows_and_never_ends_it(parts, framing):
    frames = Frames(framing)
    for part in [*parts, b"\x00" * 2 * LONGEST]:
        try:
            assert all(packet for packet in frames.take(part))
        except ValueError as error:
            assert "bytes" in str(error)  # noqa: PT017 - what was left is let go, and it reads on
    good = b"/a\0\0"
    again = Frames(framing)
    whole = bytes(slip.encode(good)) if framing == "slip" else b"\0\0\0\x04" + good
    assert list(again.take(whole)) == [good]


def test_a_desk_that_tells_again_and_again_of_the_cue_that_is_on_tells_once_for_each_firing():
    thinning = Thinning()

    def new(number, at_s, mark=None):
        return thinning.is_new(DeskHeard("lights", Decimal(number), "here", round(at_s * 1e9)), mark)

    fired = Mark("fired", 5)
    assert new(42, 1.0, fired)
    assert not any(
        new(42, 1.0 + n * 0.9, fired) for n in range(1, 9)
    )  # each within a second of the one before
    assert new(42, 9.0, Mark("fired", 70))  # fired once more
    assert new(43, 9.1)
    assert new(42, 9.2, Mark("fired", 70))
    assert new(42, 9.2 + AGAIN_NS / 1e9, Mark("fired", 70))
