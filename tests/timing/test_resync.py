"""Live re-sync to a bar or to a tapped downbeat."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.model import MeterMark, TempoMark
from showcaller.timing.resync import Resync, at_bar, at_nearest_downbeat
from showcaller.timing.tempo import TempoMap

# 4/4 at 120: a bar lasts 2 s, by arithmetic; from bar 9 in 6/8 at 120 quarters a minute: 1.5 s.
TEMPO = TempoMap((TempoMark(bar=1, bpm=120),), (MeterMark(bar=9, meter="6/8"),))
DOWNBEAT = Fraction(5)


def test_this_is_bar_33_now():
    # Bar 33 is 8 bars of 2 s and 24 of 1.5 s after the downbeat at 5 s: at 57 s on the item's clock.
    assert at_bar(TEMPO, DOWNBEAT, Fraction(60), 33) == Resync(33, Fraction(-3))
    assert at_bar(TEMPO, DOWNBEAT, Fraction(50), 33) == Resync(33, Fraction(7))


def test_there_is_no_bar_before_the_first():
    with pytest.raises(ValueError, match="bar 0 is before the song; bars count from 1"):
        at_bar(TEMPO, DOWNBEAT, Fraction(60), 0)


@pytest.mark.parametrize(
    ("now", "bar", "shift"),
    [("7.3", 2, "-0.3"), ("6.9", 2, "0.1"), ("4.2", 1, "0.8"), ("5", 1, "0"), ("21.8", 10, "0.7")],
)
def test_a_tap_goes_to_the_nearest_downbeat(now, bar, shift):
    assert at_nearest_downbeat(TEMPO, DOWNBEAT, Fraction(now)) == Resync(bar, Fraction(shift))


def test_well_before_the_song_a_tap_means_nothing():
    assert at_nearest_downbeat(TEMPO, DOWNBEAT, Fraction(3)) is None


@given(st.fractions(5, 200, max_denominator=1000), st.integers(20, 300), st.integers(20, 300))
def test_the_shift_lands_on_a_downbeat_at_most_half_a_bar_away(now, bpm, later):
    tempo = TempoMap((TempoMark(bar=1, bpm=bpm, ramp=True), TempoMark(bar=20, bpm=later)))
    found = at_nearest_downbeat(tempo, DOWNBEAT, now)
    assert found is not None
    assert now + found.shift_s == DOWNBEAT + tempo.seconds(found.bar)
    bar, _ = tempo.position(now - DOWNBEAT)
    assert 2 * abs(found.shift_s) <= tempo.seconds(bar + 1) - tempo.seconds(bar)
