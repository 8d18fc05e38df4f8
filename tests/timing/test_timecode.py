"""Timecode against SMPTE ST 12-1's counts and two independent libraries."""

import random
from fractions import Fraction
from typing import get_args

import opentimelineio as otio
import pytest
from hypothesis import given
from hypothesis import strategies as st
from timecode import Timecode

from showcaller.model import TimecodeRate
from showcaller.timing.timecode import (
    RATES,
    frame_at,
    frame_number,
    frames_apart,
    label,
    rate_named,
    seconds_at,
    seconds_between,
    wrapped,
)

RATE_NAMES = list(RATES)


def test_every_rate_of_a_show_document_is_known():
    assert tuple(RATES) == get_args(TimecodeRate)


# SMPTE ST 12-1 drop-frame counting.
@pytest.mark.parametrize(
    ("text", "frame"),
    [
        ("00:00:59;29", 1799),
        ("00:01:00;02", 1800),
        ("00:09:59;29", 17981),
        ("00:10:00;00", 17982),
        ("01:00:00;00", 107892),
        ("23:59:59;29", 2589407),
    ],
)
def test_st_12_1_drop_frame_counts(text, frame):
    assert frame_number(text, "29.97 drop") == frame
    assert label(frame, "29.97 drop") == text


def test_a_day_of_drop_frame_is_2_589_408_frames():
    assert rate_named("29.97 drop").frames_per_day == 2_589_408  # ST 12-1
    assert rate_named("29.97 drop").frames_per_ten == 17_982  # ST 12-1
    assert rate_named("59.94 drop").frames_per_day == 2 * 2_589_408  # ST 12-3: pairs of frames


# Real time at 30000/1001 frames a second: exact arithmetic from ST 12-1's counts.
@pytest.mark.parametrize(
    ("end", "rate", "seconds"),
    [
        ("00:10:00;00", "29.97 drop", "599.9994"),
        ("01:00:00;00", "29.97 drop", "3599.9964"),
        ("01:00:00:00", "29.97", "3603.6"),
        ("01:00:00:00", "23.976", "3603.6"),
        ("01:00:00:00", "25", "3600"),
        ("00:00:01:01", "50", "1.02"),
    ],
)
def test_labels_in_real_seconds(end, rate, seconds):
    assert seconds_between("00:00:00:00", end, rate) == Fraction(seconds)
    assert seconds_between(end, "00:00:00:00", rate) == -Fraction(seconds)


def test_a_day_of_drop_frame_falls_86_ms_short_of_the_wall_clock():
    assert seconds_at(2_589_408, "29.97 drop") == Fraction("86399.9136")


# --- independent libraries ----------------------------------------------------------------------------

# The `timecode` package needs its own names for two rates; all eight are supported.
_PACKAGE = {"29.97 drop": ("29.97", False), "29.97": ("29.97", True), "59.94 drop": ("59.94", False)}


def _package_label(frame: int, base: Timecode) -> str:
    # Trap: the package counts frames from 1, so our frame n is its n + 1.
    return ":".join(f"{part:02}" for part in base.frames_to_tc(frame + 1)[:4])


@pytest.mark.parametrize("rate", RATE_NAMES)
def test_100_000_random_frames_against_the_timecode_package(rate):
    name, force = _PACKAGE.get(rate, (rate, False))
    base = Timecode(name, "00:00:00:00", force_non_drop_frame=force)
    assert base.drop_frame == (rate in ("29.97 drop", "59.94 drop"))
    day = rate_named(rate).frames_per_day
    pick = random.Random(12)
    for frame in (pick.randrange(day) for _ in range(100_000)):
        assert label(frame, rate).replace(";", ":") == _package_label(frame, base)


_OTIO_RATES = {"23.976": 24000 / 1001, "29.97 drop": 30000 / 1001, "29.97": 30000 / 1001}
_OTIO_RATES |= {"59.94 drop": 60000 / 1001}


@pytest.mark.parametrize("rate", RATE_NAMES)
def test_100_000_random_frames_against_opentimelineio(rate):
    fps = _OTIO_RATES.get(rate) or float(rate)
    drop = rate_named(rate).dropped > 0
    time, to_frames = otio.opentime.RationalTime, otio.opentime.from_timecode
    # At 29.97 the library wraps labels after a day of *drop* frames even where none are dropped; ST 12-1's
    # non-drop day has 2,592,000 labels, so only frames below the library's early midnight are compared.
    day = min(rate_named(rate).frames_per_day, 2_589_408 if rate == "29.97" else 10**9)
    pick = random.Random(13)
    for frame in (pick.randrange(day) for _ in range(100_000)):
        text = label(frame, rate)
        assert time(frame, fps).to_timecode(fps, drop) == text
        assert to_frames(text, fps).value == frame


# --- invariants ---------------------------------------------------------------------------------------

rates = st.sampled_from(RATE_NAMES)


@given(st.integers(-(10**8), 10**8), rates)
def test_frame_to_label_and_back_is_the_same_frame_of_the_day(frame, rate):
    assert frame_number(label(frame, rate), rate) == wrapped(frame, rate)


@given(st.integers(-(10**8), 10**8), rates)
def test_frame_to_seconds_and_back_is_the_same_frame(frame, rate):
    assert frame_at(seconds_at(frame, rate), rate) == frame
    assert frame_at(seconds_at(frame + 1, rate) - Fraction(1, 10**12), rate) == frame


@given(st.integers(0, 23), st.integers(0, 59), st.integers(0, 59), st.integers(0, 59), rates)
def test_a_label_that_exists_comes_back_from_its_frame(hours, minutes, seconds, frames, rate):
    r = rate_named(rate)
    frames %= r.labels
    if seconds == 0 and minutes % 10:
        frames = max(frames, r.dropped)
    text = f"{hours:02}:{minutes:02}:{seconds:02}{';' if r.dropped else ':'}{frames:02}"
    assert label(frame_number(text, rate), rate) == text


@given(st.integers(0, 10**7), st.integers(-(10**6), 10**6), rates)
def test_frames_apart_goes_the_short_way_round_midnight(start, step, rate):
    assert frames_apart(wrapped(start, rate), wrapped(start + step, rate), rate) == step


def test_midnight_wraps():
    last = frame_number("23:59:59:24", "25")
    assert label(last + 1, "25") == "00:00:00:00"
    assert frames_apart(last, 0, "25") == 1
    assert frames_apart(0, last, "25") == -1


# --- refusals -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "rate", "sentence"),
    [
        ("1:00", "25", "'1:00' is not a timecode; give hh:mm:ss:ff, such as 01:00:00:00"),
        ("", "25", "'' is not a timecode; give hh:mm:ss:ff, such as 01:00:00:00"),
        ("٠١:00:00:00", "25", "'٠١:00:00:00' is not a timecode; give hh:mm:ss:ff, such as 01:00:00:00"),
        ("24:00:00:00", "25", "timecode 24:00:00:00 has 24 hours; give hours from 00 to 23"),
        ("01:60:00:00", "25", "timecode 01:60:00:00 has 60 minutes; give minutes from 00 to 59"),
        ("01:00:61:00", "25", "timecode 01:00:61:00 has 61 seconds; give seconds from 00 to 59"),
        ("01:00:00:25", "25", "timecode 01:00:00:25 has frame 25, too high at 25; give frames from 00 to 24"),
        (
            "00:01:00;01",
            "29.97 drop",
            "timecode 00:01:00;01 does not exist at 29.97 drop: its label is dropped; give 00:01:00;02",
        ),
        (
            "00:59:00;03",
            "59.94 drop",
            "timecode 00:59:00;03 does not exist at 59.94 drop: its label is dropped; give 00:59:00;04",
        ),
    ],
)
def test_a_bad_label_is_refused_in_one_sentence(text, rate, sentence):
    with pytest.raises(ValueError) as refused:  # noqa: PT011
        frame_number(text, rate)
    assert str(refused.value) == sentence


def test_an_unknown_rate_is_refused_with_the_known_ones():
    with pytest.raises(ValueError, match=r"no timecode rate '29'; give one of 23.976, 24, 25"):
        label(0, "29")
