"""MIDI Time Code against its specification's layout, forwards, backwards and damaged."""

import random

import mido
import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.timing.mtc import (
    MtcPosition,
    MtcRefused,
    MtcState,
    full_frame,
    quarter_frame,
    rate_code,
    step,
)
from showcaller.timing.timecode import RATES, frame_number, label, rate_named

MTC_RATES = [rate for rate in RATES if rate not in ("50", "59.94 drop")]


def decode(messages, rate, state=None):
    state, seen = state or MtcState(rate), []
    for message in messages:
        state, events = step(state, message)
        seen += events
    return seen


def test_quarter_frames_of_one_label():
    # MIDI Time Code specification, layout of the eight messages, for 01:37:52:16 at 30 non-drop.
    first = 4 * frame_number("01:37:52:16", "30")
    sent = [quarter_frame(first + n, "30")[1] for n in range(8)]
    assert sent == [0x00, 0x11, 0x24, 0x33, 0x45, 0x52, 0x61, 0x76]


def test_full_frame_of_one_label():
    # MIDI Time Code specification, full message layout; 7F calls all devices.
    frame = frame_number("01:37:52:16", "30")
    assert full_frame(frame, "30") == bytes.fromhex("F0 7F 7F 01 01 61 25 34 10 F7")
    assert decode([full_frame(frame, "30")], "30") == [MtcPosition(4 * frame, None)]


def test_rates_have_the_specifications_codes():
    # MIDI Time Code specification: 0 = 24, 1 = 25, 2 = 30 drop, 3 = 30 non-drop.
    codes = {"24": 0, "25": 1, "29.97 drop": 2, "30": 3}
    assert {rate: rate_code(rate) for rate in codes} == codes
    with pytest.raises(ValueError, match=r"MIDI Time Code has no rate 50; use one of 23.976, 24, 25"):
        full_frame(0, "50")


@pytest.mark.parametrize("rate", MTC_RATES)
def test_messages_are_what_mido_makes_of_the_same_pieces(rate):
    for quarter in range(0, 4 * rate_named(rate).frames_per_day, 999_983):
        data = quarter_frame(quarter, rate)
        theirs = mido.Message.from_bytes(list(data))
        assert (theirs.type, theirs.frame_type) == ("quarter_frame", quarter % 8)
        assert theirs.bytes() == list(data)


starts = st.integers(0, 10**7)


@given(starts, st.sampled_from(MTC_RATES), st.booleans(), st.integers(16, 60))
def test_the_position_is_right_to_the_quarter_either_way(start, rate, forward, count):
    day = 4 * rate_named(rate).frames_per_day
    way = 1 if forward else -1
    quarters = [(start + way * n) % day for n in range(count)]
    seen = decode([quarter_frame(q, rate) for q in quarters], rate)
    # At most 15 messages pass before eight whole pieces of one label are in.
    assert len(seen) >= count - 15
    assert seen == [MtcPosition(q, forward) for q in quarters[count - len(seen) :]]


def test_the_first_position_comes_two_frames_late_and_is_not_late_itself():
    # MIDI Time Code specification: eight messages span two frames, and receivers add two frames.
    start = 4 * frame_number("10:00:00:00", "25")
    seen = decode([quarter_frame(start + n, "25") for n in range(9)], "25")
    assert seen[0] == MtcPosition(start + 7, True)
    assert label(seen[1].quarter // 4, "25") == "10:00:00:02"


def test_turning_round_loses_the_position_until_a_whole_label_is_in():
    forward = list(range(8000, 8020))
    back = list(range(8018, 7990, -1))
    seen = decode([quarter_frame(q, "30") for q in forward + back], "30")
    turned = [p for p in seen if not p.forward]
    assert turned
    assert [p.quarter for p in turned] == back[len(back) - len(turned) :]


@pytest.mark.parametrize("seed", range(30))
def test_lost_messages_never_give_a_wrong_position(seed):
    pick = random.Random(seed)
    quarter, state, wrong, right = 1_000_000, MtcState("29.97 drop"), 0, 0
    for _ in range(2000):
        quarter += 1
        if pick.random() < 0.01:
            quarter += pick.randrange(-5000, 5000)
        if pick.random() < 0.03:
            continue
        state, events = step(state, quarter_frame(quarter, "29.97 drop"))
        for event in events:
            if isinstance(event, MtcPosition):
                right += event.quarter == quarter
                wrong += event.quarter != quarter
    assert right > 300
    # Only a jump by a whole number of sequences, in mid-sequence, can mix two labels, until the next piece.
    assert wrong <= 8


def test_other_rates_and_impossible_times_are_refused_in_a_sentence():
    (refused,) = decode([full_frame(0, "25")], "30")
    assert refused == MtcRefused(
        "the time code coming in is at 25 frames a second, the show at 30; change one of them"
    )
    (refused,) = decode([bytes.fromhex("F0 7F 7F 01 01 60 00 3D 00 F7")], "30")
    assert refused == MtcRefused("timecode 00:00:61:00 has 61 seconds; give seconds from 00 to 59")


@given(st.lists(st.binary(max_size=12), max_size=40))
def test_any_bytes_are_taken_calmly(messages):
    for event in decode(messages, "25"):
        assert isinstance(event, MtcPosition | MtcRefused)
