"""Numbers as the desk writes them (common practice, no source)."""

from datetime import UTC
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from showcaller.calling.wording import (
    day_time,
    drift,
    lateness,
    percent,
    plural,
    said_aloud,
    span,
)


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0:00"), (9.99, "0:09"), (59.999, "0:59"), (60, "1:00"), (276, "4:36"), (3599, "59:59"),
        (3600, "1:00:00"), (4472, "1:14:32"), (-5, "−0:05"), (-0.4, "0:00"), (Fraction(183, 2), "1:31"),
    ],
)  # fmt: skip
def test_a_length_is_minutes_and_seconds_and_hours_when_there_are_any(seconds, text):
    assert span(seconds) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0.4, "0:00"), (48, "+0:48"), (-62, "−1:02"), (0.6, "+0:01"), (-0.6, "−0:01"), (3725, "+1:02:05")],
)
def test_a_difference_has_its_sign_and_none_is_none(seconds, text):
    assert drift(seconds) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.04, "on time"),
        (-0.04, "on time"),
        (0.2, "+0.2 s"),
        (-0.64, "−0.6 s"),
        (75, "+1:15"),
        (59.94, "+59.9 s"),
    ],
)
def test_how_late_a_go_was_is_in_tenths(seconds, text):
    assert lateness(seconds) == text


@pytest.mark.parametrize(
    ("share", "text"), [(0, "< 1 %"), (0.02, "2 %"), (0.5, "50 %"), (0.994, "99 %"), (1, "> 99 %")]
)
def test_a_probability_is_never_certain(share, text):
    assert percent(share) == text


def test_one_cue_two_cues():
    assert (plural(1, "cue"), plural(2, "cue"), plural(0, "cue")) == ("1 cue", "2 cues", "0 cues")
    assert plural(2, "go", "goes") == "2 goes"


def test_the_go_is_set_off_as_it_is_in_the_callers_breath():
    assert said_aloud("Lights 12 and Video 3, go") == "Lights 12 and Video 3 — go"
    assert said_aloud("Standby Lights 12") == "Standby Lights 12"


def test_time_of_day_is_that_of_the_venue():
    # 1 760 000 000 s of Unix time is 2025-10-09 08:53:20 UTC ('date -u -d @1760000000').
    assert day_time(1_760_000_000_000_000_000, UTC) == "08:53:20"
    assert day_time(1_760_000_000_000_000_000, ZoneInfo("America/New_York")) == "04:53:20"
