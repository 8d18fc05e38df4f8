"""Tap tempo."""

import random
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.timing.tap import tap_tempo


def taps(bpm, count, start=Fraction(0)):
    return [start + Fraction(60 * n) / bpm for n in range(count)]


@given(st.integers(30_000, 240_000), st.integers(2, 24), st.fractions(0, 1000, max_denominator=1000))
def test_even_taps_give_their_tempo_exactly(thousandths, count, start):
    bpm = Fraction(thousandths, 1000)
    found = tap_tempo(taps(bpm, count, start))
    assert found.bpm == bpm
    assert found.confidence == 1
    assert found.beat_s == start + Fraction(60 * (count - 1)) / bpm


@given(st.integers(40, 220), st.integers(8, 24), st.data())
def test_a_missed_and_a_doubled_tap_change_nothing(bpm, count, data):
    even = taps(bpm, count)
    missed = data.draw(st.integers(1, count - 2))
    doubled = data.draw(st.integers(0, count - 1))
    bounce = even[doubled] + Fraction(60, bpm) * data.draw(st.fractions("1/20", "2/5", max_denominator=50))
    tapped = sorted([tap for n, tap in enumerate(even) if n != missed or n == doubled] + [bounce])
    found = tap_tempo(tapped)
    assert found.bpm == bpm
    assert found.confidence >= Fraction(count - 1, count + 1)


@pytest.mark.parametrize("seed", range(10))
def test_the_fit_is_numpys_least_squares(seed):
    pick = random.Random(seed)
    # A scatter of 20 ms is that of a practised tapper; from memory.
    shaken = [tap + Fraction(round(pick.gauss(0, 20_000)), 10**6) for tap in taps(124, 16)]
    found = tap_tempo(shaken)
    slope, start = np.polyfit(np.arange(16), [float(tap) for tap in shaken], 1)
    assert float(found.bpm) == pytest.approx(60 / slope, abs=1e-3)
    assert float(found.beat_s) == pytest.approx(start + 15 * slope, abs=1e-6)
    assert abs(found.bpm - 124) < 1
    assert 0.7 < found.confidence < 1


def test_taps_without_any_beat_give_little_confidence():
    pick = random.Random(3)
    at = Fraction(0)
    wild = [at := at + Fraction(pick.randint(100, 3000), 1000) for _ in range(20)]
    assert tap_tempo(wild).confidence < 0.4


@pytest.mark.parametrize(
    ("given_taps", "sentence"),
    [([], "0 taps give no tempo; tap at least twice"), ([1, 1], "taps are not in order of time")],
)
def test_what_gives_no_tempo_is_refused(given_taps, sentence):
    with pytest.raises(ValueError, match=sentence):
        tap_tempo([Fraction(tap) for tap in given_taps])
