"""What a controller's bytes mean; held against mido, an implementation that is not ours."""

import mido
from hypothesis import given
from hypothesis import strategies as st

from showcaller.desk.pads.control import Control, Reading


def cc(number, value, channel=1):
    return bytes((0xB0 | channel - 1, number, value))


@given(st.integers(0, 15), st.integers(0, 127), st.integers(0, 127), st.booleans())
def test_pads_are_read_as_mido_writes_them(channel, note, velocity, on):
    kind = "note_on" if on else "note_off"
    made = bytes(mido.Message(kind, channel=channel, note=note, velocity=velocity).bytes())
    heard = Reading().heard(made)
    assert heard is not None
    assert heard.control == Control("note", channel + 1, note)
    assert heard.down == (on and velocity > 0)  # MIDI 1.0: a note-on of velocity 0 is a note-off


@given(st.integers(0, 31), st.integers(0, 16383))
def test_a_fader_of_fourteen_bits_is_exact_when_its_lower_half_has_come(number, value):
    """MIDI 1.0, control changes: 0 to 31 carry the upper seven bits, 32 to 63 the lower of the same."""
    reading = Reading()
    first = reading.heard(cc(number, value >> 7))
    second = reading.heard(cc(number + 32, value & 127))
    assert first is not None
    assert second is not None
    assert second.control == first.control == Control("control", 1, number)
    assert abs(second.value - value / 16383) < 1e-9
    assert abs(first.value - second.value) <= 1 / 127


def test_a_fader_of_seven_bits_reaches_both_ends_and_a_bound_one_is_nobodys_lower_half():
    reading = Reading()
    assert [reading.heard(cc(7, v)).value for v in (0, 127)] == [0, 1]
    assert reading.heard(cc(40, 127)).control.number == 40, "its upper half was never heard"
    own = Control("control", 1, 39)
    assert reading.heard(cc(39, 127), [own]).control == own
    assert reading.heard(cc(7, 127)).value == 1


@given(st.binary(max_size=6))
def test_no_bytes_are_an_error(message):
    heard = Reading().heard(message)
    assert heard is None or 0 <= heard.value <= 1


def test_what_is_no_pad_and_no_fader_says_nothing():
    odd = (
        b"",
        b"\x90",
        b"\xf8",
        b"\xe0\x00\x40",
        b"\xc0\x05",
        b"\xf0\x7e\x7f\xf7",
        cc(123, 0),
        b"\x90\xff\x40",
    )
    assert [Reading().heard(m) for m in odd] == [None] * len(odd)
