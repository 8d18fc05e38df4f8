"""Durations from three points, from runs, and of what is left."""

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from showcaller.model import Song, Talk
from showcaller.timing.durations import (
    Duration,
    from_three_points,
    learned_duration,
    left_of,
    planned_duration,
    qn_spread,
)


# Three-point (PERT) rules as on several public pages: mean (a + 4m + b) / 6.
def test_pert_mean_and_where_the_handbook_spread_goes_wrong():
    even = from_three_points(4, 6, 12)
    assert even.mean_s == pytest.approx(6.667, abs=1e-3)
    skew = from_three_points(2, 5, 14)
    assert skew.mean_s == 6
    # scipy's beta for the same three points; (b - a) / 6 would say 2.0.
    assert skew.sd_s == pytest.approx(2.13809, abs=1e-5)


ordered = st.lists(st.floats(1, 5000), min_size=3, max_size=3).map(sorted)


@given(ordered)
def test_pert_moments_are_scipys(points):
    low, mode, high = points
    if high - low < 1e-3:
        return
    alpha = 1 + 4 * (mode - low) / (high - low)
    theirs = stats.beta(alpha, 6 - alpha, loc=low, scale=high - low)
    ours = from_three_points(low, mode, high)
    assert ours.mean_s == pytest.approx(theirs.mean(), rel=1e-9)
    assert ours.sd_s == pytest.approx(theirs.std(), rel=1e-9)
    assert ours.shape() == pytest.approx((alpha, 6 - alpha), rel=1e-6)
    assert ours.skewness == pytest.approx(float(theirs.stats("s")), rel=1e-5, abs=1e-6)


def test_points_out_of_order_are_refused():
    with pytest.raises(ValueError, match=r"^shortest 5 s, likely 4 s, longest 9 s are not in order"):
        from_three_points(5, 4, 9)


def test_the_plan_gives_what_bounds_it_has():
    def song(**fields):
        return planned_duration(Song(kind="song", id="s", name="S", length_s=200, **fields))

    assert (song(shortest_s=190, longest_s=230).low_s, song(longest_s=230).high_s) == (190, 230)
    assert (song(shortest_s=190).high_s, song(longest_s=230).low_s) == (210, 170)
    assert (song().low_s, song().high_s, song(timecode_start="01:00:00:00").high_s) == pytest.approx(
        (180, 220, 202)
    )
    assert song(shortest_s=220).low_s == 200
    talk = planned_duration(Talk(kind="talk", id="t", name="T", length_s=60, longest_s=600))
    assert (talk.low_s, talk.high_s) == (0, 600)


@pytest.mark.parametrize(
    "duration", [from_three_points(180, 200, 260), Duration(200, 10), Duration(7, 0, 7, 7)]
)
def test_samples_have_the_durations_moments(duration):
    lengths = duration.sample(np.random.default_rng(1), 200_000)
    assert lengths.mean() == pytest.approx(duration.mean_s, abs=0.15)
    assert lengths.std() == pytest.approx(duration.sd_s, abs=0.15)
    assert lengths.min() >= duration.low_s
    assert lengths.max() <= duration.high_s


# --- learned --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 20, 21, 60])
def test_qn_estimates_a_normal_standard_deviation_without_bias(count):
    generator = np.random.default_rng(count)
    runs = 2500
    estimates = [qn_spread(sample) for sample in generator.normal(100, 7, (runs, count))]
    # Within the simulation's own error (four standard errors) and 1.5 % for rounded constants.
    error = 4 * np.std(estimates) / runs**0.5
    assert np.mean(estimates) == pytest.approx(7, abs=error + 0.1)


def test_an_accident_or_two_do_not_spoil_the_spread():
    generator = np.random.default_rng(7)
    lengths = list(generator.normal(200, 4, 18))
    honest = qn_spread(lengths)
    assert qn_spread([*lengths, 900, 1500]) < 1.5 * honest
    assert np.std([*lengths, 900, 1500]) > 50 * honest


def test_one_sample_has_no_spread():
    with pytest.raises(ValueError, match="1 samples have no spread; give at least 2"):
        qn_spread([3.0])


PLAN = from_three_points(190, 200, 230)


def test_without_runs_the_plan_stands_and_with_many_the_runs_do():
    assert learned_duration(PLAN, []) is PLAN
    generator = np.random.default_rng(3)
    many = learned_duration(PLAN, list(generator.normal(215, 3, 400)))
    assert many.mean_s == pytest.approx(215, abs=0.5)
    assert many.sd_s == pytest.approx(3, abs=0.6)


def test_one_run_moves_a_quarter_of_the_way():
    once = learned_duration(PLAN, [PLAN.mean_s + 40])
    assert once.mean_s == pytest.approx(PLAN.mean_s + 10)
    assert once.sd_s > PLAN.sd_s


@given(st.lists(st.floats(1, 4000), min_size=1, max_size=20))
def test_what_is_learned_can_always_be_simulated(samples):
    learned = learned_duration(PLAN, samples)
    assert learned.low_s <= min(samples)
    assert max(samples) <= learned.high_s
    assert min(learned.shape()) > 0
    assert learned.sample(np.random.default_rng(0), 10).shape == (10,)


# --- what is left ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("elapsed", [150, 190, 195, 205, 220, 228])
def test_what_is_left_agrees_with_integration_of_the_tail(elapsed):
    a, b = PLAN.shape()
    theirs = stats.beta(a, b, loc=190, scale=40)
    tail = theirs.sf(elapsed)
    low = max(elapsed, 190)
    mean = integrate.quad(lambda t: (t - elapsed) * theirs.pdf(t) / tail, low, 230)[0]
    square = integrate.quad(lambda t: (t - elapsed) ** 2 * theirs.pdf(t) / tail, low, 230)[0]
    left = left_of(PLAN, elapsed)
    assert left.mean_s == pytest.approx(mean, abs=1e-6)
    assert left.sd_s == pytest.approx((square - mean**2) ** 0.5, abs=1e-5)


@pytest.mark.parametrize("elapsed", [100, 195, 205, 240])
def test_what_is_left_of_a_normal_is_scipys_truncated_normal(elapsed):
    theirs = stats.truncnorm((elapsed - 200) / 10, np.inf, loc=200, scale=10)
    left = left_of(Duration(200, 10), elapsed)
    assert left.mean_s == pytest.approx(theirs.mean() - elapsed, rel=1e-6)
    assert left.sd_s == pytest.approx(theirs.std(), rel=1e-4)


def test_past_its_longest_an_item_ends_at_once():
    assert left_of(PLAN, 230) == Duration(0, 0, 0, 0)
    assert left_of(PLAN, 1e6) == Duration(0, 0, 0, 0)
    assert left_of(Duration(60, 0, 60, 60), 59.5) == Duration(0.5, 0, 0.5, 0.5)
    assert left_of(Duration(60, 0, 60, 60), 61) == Duration(0, 0, 0, 0)


@given(st.floats(0, 229.9))
def test_the_longer_it_has_run_the_less_is_left(elapsed):
    left = left_of(PLAN, elapsed)
    assert left.mean_s >= 0
    assert left.mean_s + elapsed >= PLAN.mean_s - 1e-9
    assert left_of(PLAN, min(229.95, elapsed + random.Random(1).random())).mean_s <= left.mean_s + 1e-9
