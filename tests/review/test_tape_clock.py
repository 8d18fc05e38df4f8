"""A recorder's clock through matched places, beside SciPy's own regression, and whatever drift it has."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import linregress, t

from showcaller.review.errors import ReviewError
from showcaller.review.tape_clock import TapeClock
from showcaller.review.tape_fit import Matched, fitted

NS = 1_000_000_000
FRAME_S = 1 / 60
TWO_HOURS_S = 7200


@given(st.floats(-300, 300), st.integers(-(10**13), 10**13), st.integers(-(10**13), 10**13))
def test_there_and_back_is_the_same_moment(ppm: float, zero_ns: int, t_ns: int) -> None:
    clock = TapeClock(zero_ns, ppm)
    assert abs(clock.run_ns(clock.file_s(t_ns)) - t_ns) <= 1


def test_eighty_parts_per_million_are_more_than_half_a_second_in_two_hours() -> None:
    late_s = float(TapeClock(0, 80.0).file_s(TWO_HOURS_S * NS)) - TWO_HOURS_S
    assert late_s == pytest.approx(0.576)


def test_slope_and_interval_are_those_of_linregress() -> None:
    draw = np.random.default_rng(7)
    run_s = np.sort(draw.uniform(0, TWO_HOURS_S, 9))
    file_s = 12.5 + run_s * (1 + 63e-6) + draw.normal(0, 0.002, 9)
    found = fitted([Matched(round(r * NS), f) for r, f in zip(run_s, file_s, strict=True)], 1e-6)
    outside = linregress(run_s, file_s)
    assert found.clock.drift_ppm == pytest.approx((outside.slope - 1) * 1e6, abs=0.001)
    assert found.error_ppm == pytest.approx(t.ppf(0.975, 7) * outside.stderr * 1e6, rel=1e-3)
    assert float(found.clock.file_s(0)) == pytest.approx(outside.intercept, abs=1e-6)


@settings(max_examples=150)
@given(
    st.floats(-100, 100),
    st.floats(-600, 600),
    st.lists(st.floats(0, TWO_HOURS_S), min_size=7, max_size=12, unique=True),
    st.lists(st.floats(-900, 900), max_size=2),
    st.integers(0, 2**32 - 1),
)
def test_every_moment_is_within_a_frame_whatever_was_found_wrongly(
    ppm: float, zero_s: float, places: list[float], wrong: list[float], seed: int
) -> None:
    """Places found to 2 ms over at least an hour, up to two of them anywhere at all."""
    run_s = np.array(sorted([0.0, *places, TWO_HOURS_S]))
    draw = np.random.default_rng(seed)
    file_s = (run_s - zero_s) * (1 + ppm * 1e-6) + draw.uniform(-0.002, 0.002, len(run_s))
    for n, away in enumerate(wrong):
        file_s[1 + 2 * n] += away
    found = fitted([Matched(round(r * NS), f) for r, f in zip(run_s, file_s, strict=True)], 1 / 8000)
    for moment_s in np.linspace(0, TWO_HOURS_S, 41):
        right_s = (moment_s - zero_s) * (1 + ppm * 1e-6)
        assert abs(float(found.clock.file_s(round(moment_s * NS))) - right_s) < FRAME_S
    assert found.error_ppm is not None


def test_one_place_says_where_and_nothing_of_how_fast() -> None:
    found = fitted([Matched(5 * NS, 2.0)], 1 / 8000)
    assert found.clock == TapeClock(3 * NS)
    assert (found.error_ppm, found.words) == (None, "")
    near = fitted([Matched(5 * NS, 2.0), Matched(15 * NS, 12.0)], 1 / 8000)
    assert near.error_ppm is None


def test_two_places_an_hour_apart_say_how_fast_and_how_sure() -> None:
    found = fitted([Matched(0, 0.0), Matched(3600 * NS, 3600 * (1 - 40e-6))], 1 / 8000)
    assert found.clock.drift_ppm == pytest.approx(-40, abs=0.01)
    assert found.words == "runs 40.0 ppm slow (± 0.1)"
    assert found.clock.file_s(0) == pytest.approx(Fraction(0), abs=1e-6)


def test_nothing_found_is_a_sentence() -> None:
    with pytest.raises(ReviewError, match="align it by one tap"):
        fitted([], 1 / 8000)
