"""One way to write a length; beside it ``datetime``'s own."""

from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.model.clockwords import m_ss, m_ss_part

PACKAGE = Path(__file__).parents[2] / "showcaller"


@given(st.integers(0, 86_399))
def test_a_length_says_what_datetime_says_without_idle_noughts(seconds):
    hours = str(timedelta(seconds=seconds))
    assert m_ss(seconds) == (hours.removeprefix("0:").removeprefix("0") if seconds < 3600 else hours)


@pytest.mark.parametrize(
    ("seconds", "places", "words"),
    [
        (59.96, 1, "1:00.0"),
        (48.16, 3, "0:48.160"),
        (-2.04, 1, "−0:02.0"),
        (-0.01, 1, "0:00.0"),
        (3725.5, 1, "62:05.5"),
    ],
)
def test_parts_of_a_second_are_rounded_and_never_say_sixty(seconds, places, words):
    assert m_ss_part(seconds, places) == words


def test_nobody_else_puts_minutes_and_seconds_together():
    mine = (
        "clockwords.py",
        "timecode.py",
        "placing.py",
        "chapters.py",
        "values.py",
        "words.py",
        "cards.py",
        "bits.py",
    )
    found = [
        p.name
        for p in PACKAGE.rglob("*.py")
        if p.name not in mine
        and ("% 60" in p.read_text(encoding="utf-8") or ", 60)" in p.read_text(encoding="utf-8"))
    ]
    assert found == []
