"""Charts of individuals against the NIST handbook, means and spreads against NIST's certified values."""

import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from showcaller.review.stats import spread
from showcaller.review.trend import D2, D4, TrendPoint, trend

FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
"""The ten values of the worked example in NIST/SEMATECH e-Handbook 6.3.2.2."""


def points(values: list[float]) -> list[TrendPoint]:
    return [TrendPoint(n, 1, value) for n, value in enumerate(values, 1)]


def test_the_handbooks_example() -> None:
    """NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.2: 50.81, 1.8778, 55.8041, 45.8159."""
    chart = trend(points(FLOW))
    assert round(chart.centre, 4) == 50.81
    assert chart.mean_range is not None
    assert round(chart.mean_range, 4) == 1.8778
    assert chart.upper is not None
    assert chart.lower is not None
    assert (round(chart.upper, 4), round(chart.lower, 4)) == (55.8041, 45.8159)
    assert (chart.outside, chart.shifted) == ((), ())


def test_the_constants_are_what_normal_distributions_give() -> None:
    """d2 = 2/√π; D4 = 1 + 3·d3/d2 with d3² = 2 − 4/π, the variance of the range of two; by scipy as well."""
    d2, var = 2 / math.sqrt(math.pi), 2 - 4 / math.pi
    assert pytest.approx(d2, abs=5e-4) == D2
    assert pytest.approx(1 + 3 * math.sqrt(var) / d2, abs=5e-4) == D4
    half = stats.norm(scale=math.sqrt(2))  # the difference of two
    mean, _ = integrate.quad(lambda x: 2 * x * half.pdf(x), 0, math.inf)
    assert mean == pytest.approx(d2)


def test_a_new_night_is_judged_by_the_nights_before_it() -> None:
    nights = [*FLOW, 58.0]
    assert trend(points(nights), baseline=10).outside == (10,)
    assert trend(points(nights), baseline=10).upper == trend(points(FLOW)).upper
    assert trend(points(nights)).upper != trend(points(FLOW)).upper


def test_eight_on_one_side_are_a_shift() -> None:
    """Western Electric, Statistical Quality Control Handbook: eight in a row on one side of the centre."""
    level = [10.0, 12.0] * 6
    assert trend(points(level + [11.5] * 7), baseline=12).shifted == (
        18,
    )  # the last 12.0 is the first of them
    assert trend(points(level + [10.5] + [11.5] * 7), baseline=12).shifted == ()
    assert trend(points(level + [10.5] + [11.5] * 9), baseline=12).shifted == (20, 21)
    assert trend(points([11.0] * 20)).shifted == ()  # on the centre is on no side


def test_few_nights_have_no_limits() -> None:
    chart = trend(points([96.0]))
    assert (chart.centre, chart.mean_range, chart.upper, chart.range_upper) == (96.0, None, None, None)
    with pytest.raises(ValueError, match="at least one night"):
        trend([])
    with pytest.raises(ValueError, match="a baseline of 3 is not among 2 nights"):
        trend(points([1.0, 2.0]), baseline=3)


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=30), st.floats(-1e3, 1e3))
def test_limits_move_with_the_values(values: list[float], shift: float) -> None:
    here, there = trend(points(values)), trend(points([v + shift for v in values]))
    assert here.upper is not None
    assert there.upper is not None
    assert there.upper == pytest.approx(here.upper + shift, abs=1e-4)
    assert there.mean_range == pytest.approx(here.mean_range, abs=1e-5)


@pytest.mark.parametrize(
    ("values", "mean", "sd"),
    [
        ([10000001.0, 10000003.0, 10000002.0], 10000002, 1),
        ([1.2] + [1.1, 1.3] * 500, 1.2, 0.1),
        ([1000000.2] + [1000000.1, 1000000.3] * 500, 1000000.2, 0.1),
        ([10000000.2] + [10000000.1, 10000000.3] * 500, 10000000.2, 0.1),
    ],
    ids=["NumAcc1", "NumAcc2", "NumAcc3", "NumAcc4"],
)
def test_mean_and_spread_where_careless_sums_go_wrong(values: list[float], mean: float, sd: float) -> None:
    """NIST StRD, univariate summary statistics: certified values of the NumAcc sets."""
    found = spread(values)
    assert found.mean == pytest.approx(mean, rel=1e-14)
    assert found.sd == pytest.approx(sd, rel=1e-7)
    assert found.median == statistics.median(values)


def test_one_sample_has_no_spread_and_none_no_mean() -> None:
    assert spread([4.0]).sd is None
    with pytest.raises(ValueError, match="nothing to take the mean of"):
        spread([])
