"""Stages, breaks and run rules; certified and independent figures."""

import random
from statistics import fmean

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.weightstats import DescrStatsW

from showcaller.review.learned import FEWEST, Sample, last_stage, offer, sureness
from showcaller.review.stats import spread
from showcaller.review.trend import TrendPoint, trend

LEW = [
    -213, -564, -35, -15, 141, 115, -420, -360, 203, -338, -431, 194, -220, -513, 154, -125, -559, 92,
    -21, -579, -52, 99, -543, -175, 162, -457, -346, 204, -300, -474, 164, -107, -572, -8, 83, -541,
    -224, 180, -420, -374, 201, -236, -531, 83, 27, -564, -112, 131, -507, -254, 199, -311, -495, 143,
    -46, -579, -90, 136, -472, -338, 202, -287, -477, 169, -124, -568, 17, 48, -568, -135, 162, -430,
    -422, 172, -74, -577, -13, 92, -534, -243, 194, -355, -465, 156, -81, -578, -64, 139, -449, -384,
    193, -198, -538, 110, -44, -577, -6, 66, -552, -164, 161, -460, -344, 205, -281, -504, 134, -28,
    -576, -118, 156, -437, -381, 200, -220, -540, 83, 11, -568, -160, 172, -414, -408, 188, -125, -572,
    -32, 139, -492, -321, 205, -262, -504, 142, -83, -574, 0, 48, -571, -106, 137, -501, -266, 190,
    -391, -406, 194, -186, -553, 83, -13, -577, -49, 103, -515, -280, 201, 300, -506, 131, -45, -578,
    -80, 138, -462, -361, 201, -211, -554, 32, 74, -533, -235, 187, -372, -442, 182, -147, -566, 25,
    68, -535, -244, 194, -351, -463, 174, -125, -570, 15, 72, -550, -190, 172, -424, -385, 198, -218,
    -536, 96,
]  # fmt: skip
MAVRO = [2 + n / 1e5 for n in (
    180, 170, 180, 190, 180, 170, 150, 140, 150, 150, 170, 180, 180, 190, 190, 210, 200, 160, 140, 130,
    130, 150, 150, 160, 150, 140, 130, 140, 150, 140, 150, 160, 150, 160, 190, 200, 200, 210, 220, 230,
    240, 250, 270, 260, 260, 260, 270, 260, 250, 240,
)]  # fmt: skip


def points(values, stages=None, editions=None):
    return [
        TrendPoint(n + 1, editions[n] if editions else 1, v, stages[n] if stages else 0)
        for n, v in enumerate(values)
    ]


@pytest.mark.parametrize(
    ("values", "mean", "sd"),
    [(LEW, -177.435, 277.332168044316), (MAVRO, 2.001856, 0.000429123454003053)],
    ids=["Lew", "Mavro"],
)
def test_mean_and_spread_are_nists_certified_values(values, mean, sd) -> None:
    """NIST Statistical Reference Datasets, univariate: Lew (200 values) and Mavro (50)."""
    found = spread([float(v) for v in values])
    assert found.mean == pytest.approx(mean, rel=1e-13)
    assert found.sd == pytest.approx(sd, rel=1e-9)


def test_every_rule_is_seen_where_it_is_broken_and_nowhere_else() -> None:
    """Western Electric, Statistical Quality Control Handbook: the four rules, from a known sigma."""
    level = [9.0, 11.0] * 10  # centre 10, mean range 2, sigma 2/1.128 = 1.773
    sigma = 2 / 1.128

    def seen(*more: float) -> set[str]:
        chart = trend(points([*level, *(10 + m * sigma for m in more)]), baseline=20)
        return {s.rule for s in chart.signals if s.point >= 20}

    assert seen(2.9) == set()
    assert seen(3.1) == {"beyond a limit"}
    assert seen(-3.1) == {"beyond a limit"}
    assert seen(2.1, 0.2, 2.1) == {"2 of 3 far out"}
    assert seen(2.1, 0.2, -2.1) == set()
    assert seen(2.1, 0.2, 0.1, 2.1) == set()
    assert seen(1.1, 1.2, -0.1, 1.1, 1.1) == {"4 of 5 off centre"}
    assert seen(1.1, 1.2, -0.1, -0.2, 1.1) == set()
    assert seen(-0.1, *[0.2] * 8) == {"8 on one side"}
    assert seen(-0.1, *[0.2] * 7) == set()


def test_false_alarms_come_as_often_as_they_are_known_to() -> None:
    """All four rules together: one in 91.75 points of a process in control with known spread (Champ and
    Woodall 1987). Simulated; the mean lies within four standard errors."""
    draw = np.random.default_rng(5)
    level = [-0.564, 0.564] * 2  # mean 0, mean range 1.128: a standard deviation of 1
    lengths = []
    for _ in range(400):
        chart = trend(points([*level, *map(float, draw.normal(0, 1, 700))]), baseline=4)
        lengths.append(next((s.point - 3 for s in chart.signals if s.point > 3), 700))
    error = float(np.std(lengths)) / 20
    assert fmean(lengths) == pytest.approx(91.75, abs=4 * error)


def test_a_changed_item_begins_a_stage_of_its_own() -> None:
    values = [120.0, 122.0, 119.0, 121.0, 90.0, 92.0, 89.0, 91.0]
    one = trend(points(values, editions=[1, 1, 1, 1, 2, 2, 2, 2]))
    two = trend(points(values, [0] * 4 + [1] * 4, [1, 1, 1, 1, 2, 2, 2, 2]))
    assert one.edition_breaks == two.edition_breaks == (4,)
    assert [s.centre for s in two.stages] == [120.5, 90.5]
    assert (two.centre, two.stages[1].first, two.stages[1].last) == (90.5, 4, 7)
    assert two.upper is not None
    assert two.upper < 100  # the step is no night's doing
    assert two.outside == ()
    assert two.upper == trend(points(values[4:])).upper


@given(st.lists(st.floats(60, 300), min_size=2, max_size=40))
def test_how_sure_agrees_with_scipy_and_statsmodels(lengths: list[float]) -> None:
    """Student's t interval of the mean by both libraries; the next night's by scipy's distribution."""
    found = sureness(lengths)
    assert found is not None
    low, high = DescrStatsW(np.array(lengths)).tconfint_mean(alpha=0.05)
    assert (found.mean_low_s, found.mean_high_s) == pytest.approx((low, high), rel=1e-7, abs=1e-6)
    scale = float(np.std(lengths, ddof=1)) * np.sqrt(1 + 1 / len(lengths))
    if scale > 1e-6:
        expected = stats.t.interval(0.95, len(lengths) - 1, loc=np.mean(lengths), scale=scale)
        assert (found.next_low_s, found.next_high_s) == pytest.approx(expected, rel=1e-7)


def test_the_next_night_falls_where_it_was_said_to() -> None:
    """Nineteen times in twenty, over 2,000 tours of six nights."""
    draw = random.Random(8)
    inside = 0
    for _ in range(2000):
        nights = [draw.gauss(96, 7) for _ in range(7)]
        said = sureness(nights[:6])
        assert said is not None
        inside += said.next_low_s <= nights[6] <= said.next_high_s
    assert inside / 2000 == pytest.approx(0.95, abs=0.02)


def test_an_offer_is_of_the_stage_that_is_played_and_says_how_sure() -> None:
    old = [Sample(n, 1, 150.0 + n, 0) for n in range(5)]
    new = [Sample(n, 2, 97.0 + n % 3, 1) for n in range(5, 5 + FEWEST)]
    assert last_stage([*old, *new]) == new
    found = offer("ferry", "Talk: the ferry", 120, [*old, *new])
    assert found is not None
    assert found.words == "Plan “Talk: the ferry” at 1:38 (3 shows, 1:37 to 1:39)."
    assert (
        found.detail
        == "high confidence: planned 2:00; average 1:38 ± 2 s; next night 1:33 to 1:43, 95 % range"
    )
    assert (found.at, dict(found.fields)) == (("items", "ferry"), {"length_s": "98"})
    assert offer("ferry", "Talk", 99, new) is None  # near enough
    assert offer("ferry", "Talk", 120, [*old, *new[:2]]) is None  # too few since it was changed
