"""The 80 bits of a frame against SMPTE ST 12-1's layout."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.timing.ltc import frame_bits, read_bits
from showcaller.timing.timecode import RATES, frame_number, rate_named

LTC_RATES = [rate for rate in RATES if rate_named(rate).labels <= 30]


def sent(word, first, last):
    """Bits ``first`` to ``last`` in the order in which they are sent."""
    return "".join(str(word >> n & 1) for n in range(first, last + 1))


def test_the_layout_of_st_12_1():
    word = frame_bits(frame_number("12:34:56;18", "29.97 drop"), "29.97 drop")
    # ST 12-1: BCD, low bit first; frames 0-3 and 8-9, seconds 16-19 and 24-26, minutes 32-35 and 40-42,
    # hours 48-51 and 56-57, drop flag 10, sync word 64-79.
    assert sent(word, 0, 3) == "0001"
    assert sent(word, 8, 9) == "10"
    assert sent(word, 16, 19) == "0110"
    assert sent(word, 24, 26) == "101"
    assert sent(word, 32, 35) == "0010"
    assert sent(word, 40, 42) == "110"
    assert sent(word, 48, 51) == "0100"
    assert sent(word, 56, 57) == "10"
    assert sent(word, 10, 10) == "1"
    assert sent(word, 64, 79) == "0011111111111101"
    assert word.to_bytes(10, "little")[8:] == bytes.fromhex("FCBF")  # the sync word, packed low bit first


@given(st.integers(0, 2_073_599), st.sampled_from(LTC_RATES), st.integers(0, 2**32 - 1))
def test_ones_are_even_and_every_frame_is_read_back(frame, rate, user):
    word = frame_bits(frame, rate, user)
    assert word.bit_count() % 2 == 0  # ST 12-1: polarity correction, bit 59 at 25 frames a second, else 27
    assert word >> (27 if rate == "25" else 59) & 1 == 0
    assert read_bits(word, rate) == (frame, user)


@given(st.integers(0, 2_073_599), st.sampled_from(LTC_RATES), st.integers(0, 79))
def test_any_single_wrong_bit_is_noticed(frame, rate, bit):
    assert read_bits(frame_bits(frame, rate) ^ 1 << bit, rate) is None


def test_impossible_labels_and_the_other_flag_are_not_read():
    word = frame_bits(0, "30")
    assert read_bits(word | 0b1111, "30") is None  # frame 15 in one figure; ones stay even
    assert read_bits(word | 0b11 << 8, "30") is None  # frame 30
    assert read_bits(frame_bits(5, "30"), "29.97 drop") is None


def test_refusals():
    with pytest.raises(
        ValueError, match=r"linear timecode carries at most 30 frames a second, not 50; use one"
    ):
        frame_bits(0, "50")
    with pytest.raises(ValueError, match=r"user bits -1 do not fit; give 0 to 4294967295"):
        frame_bits(0, "25", -1)
