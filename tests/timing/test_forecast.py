"""The projected end: closed form against simulation, and cuts against trying every set."""

import random
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal, stats

from showcaller.timing.durations import Duration, from_three_points, learned_duration, left_of
from showcaller.timing.forecast import cuts, cuts_by_normal, forecast, is_near_normal, probability, simulate
from showcaller.timing.sums import summed


def some_items(seed, count=30):
    pick = random.Random(seed)
    items = []
    for _ in range(count):
        likely = pick.uniform(30, 400)
        items.append(from_three_points(likely * pick.uniform(0.85, 1), likely, likely * pick.uniform(1, 1.3)))
    return items


@pytest.mark.parametrize("seed", range(12))
def test_closed_form_and_simulation_agree_where_the_closed_form_holds(seed):
    items = some_items(seed, 200)
    assert is_near_normal(items)
    simulated = 1000 + simulate(items, np.random.default_rng(seed), 40_000)
    mean, sd = simulated.mean(), simulated.std()
    for spare in (-2, -1, -0.3, 0, 0.5, 1.5):
        ours = forecast(1000, items, mean + spare * sd)
        assert ours.p_make == pytest.approx(np.mean(simulated <= mean + spare * sd), abs=0.015)
    assert ours.end_s == pytest.approx(mean, abs=0.03 * sd)
    assert (ours.low_s, ours.high_s) == pytest.approx(
        tuple(np.quantile(simulated, (0.05, 0.95))), abs=0.08 * sd
    )


def convolved(items, at_s, cells=20_000):
    """P(sum ≤ at_s), by convolving scipy's own beta and normal distributions on an even grid, directly."""
    spread = [d for d in items if d.sd_s > 0]
    at_s -= sum(d.mean_s for d in items if d.sd_s == 0)
    frozen = []
    for d in spread:
        if not d.bounded:
            frozen.append(stats.norm(d.mean_s, d.sd_s))
            continue
        # Shapes worked out here once more, from mean and variance (textbook method of moments).
        m, v = (d.mean_s - d.low_s) / (d.high_s - d.low_s), (d.sd_s / (d.high_s - d.low_s)) ** 2
        k = m * (1 - m) / v - 1
        frozen.append(stats.beta(m * k, (1 - m) * k, loc=d.low_s, scale=d.high_s - d.low_s))
    ends = [f.ppf((1e-9, 1 - 1e-9)) for f in frozen]
    step = sum(high - low for low, high in ends) / cells
    total, start = np.ones(1), 0.0
    for f, (low, high) in zip(frozen, ends, strict=True):
        edges = low + step * np.arange(-1, int((high - low) / step) + 3)
        mass = np.diff(f.cdf(edges))
        total, start = signal.fftconvolve(total, mass), start + edges[0] + step / 2
    below, middles = np.cumsum(total), start + step * np.arange(len(total))
    return float(np.interp(at_s, middles + step / 2, below, left=0, right=1))


def a_show(seed):
    """A show of any kind: one item or forty, even or skewed, some learned or begun, some fixed."""
    pick = random.Random(seed)
    items = []
    for _ in range(pick.choice((1, 1, 2, 3, 5, 8, 15, 40))):
        likely = pick.uniform(30, 400)
        low, high = (
            likely * pick.uniform(0.5, 1),
            likely * (1 + pick.choice((0.05, 0.3, 1, 4)) * pick.random()),
        )
        item = from_three_points(low, likely, high)
        match pick.randrange(6):
            case 0:
                item = learned_duration(item, [pick.uniform(low, high) for _ in range(pick.randint(1, 8))])
            case 1:
                item = left_of(item, pick.uniform(0, high))
            case 2 if pick.random() < 0.3:
                item = Duration(likely, 0)
            case 3 if pick.random() < 0.3:
                item = Duration(likely, likely * pick.uniform(0.01, 0.3))
        items.append(item)
    return items


@pytest.mark.parametrize("part", [0, 1, *(pytest.param(n, marks=pytest.mark.long) for n in range(2, 10))])
def test_500_shows_of_any_kind_are_within_a_percentage_point_of_a_convolution(part):
    for seed in range(part * 50, part * 50 + 50):
        items = a_show(seed)
        sd = sum(d.sd_s**2 for d in items) ** 0.5
        mean = sum(d.mean_s for d in items)
        for spare in (-1.7, -0.8, -0.2, 0.1, 0.6, 1.3, 2.4):
            at_s = mean + spare * sd
            if sd > 0:
                assert forecast(0, items, at_s).p_make == pytest.approx(convolved(items, at_s), abs=0.01)


def test_one_song_that_may_run_away():
    # Exactly: the regularised incomplete beta of (420 − 300) / 900 with shapes 1 and 5, 1 − (13/15)⁵.
    ours = forecast(0, [from_three_points(300, 300, 1200)], 420)
    assert ours.p_make == pytest.approx(1 - (13 / 15) ** 5, abs=0.001)
    assert ours.p_make == pytest.approx(0.511, abs=0.0005)


def test_one_talk_that_may_run_away_is_not_taken_for_normal():
    items = [*some_items(1, 5), from_three_points(60, 90, 1500)]
    assert not is_near_normal(items)
    mean = sum(d.mean_s for d in items)
    ours = forecast(0, items, mean)
    # The median of a long right tail lies below its mean: more than half the shows end by the mean.
    assert ours.p_make > 0.53
    exact = simulate(items, np.random.default_rng(99), 200_000)
    assert ours.p_make == pytest.approx(np.mean(exact <= mean), abs=0.005)
    assert (ours.low_s, ours.high_s) == pytest.approx(tuple(np.quantile(exact, (0.05, 0.95))), rel=0.005)


def test_many_lengths_far_narrower_than_the_grid_do_not_shift_it():
    items = [*(from_three_points(10, 10, 11) for _ in range(60)), from_three_points(300, 300, 3000)]
    assert forecast(0, items, 1200).p_make == pytest.approx(convolved(items, 1200, 60_000), abs=0.002)


def test_lengths_without_spread_have_no_distribution():
    with pytest.raises(ValueError, match="no distribution"):
        summed([Duration(10, 0)])


def test_over_and_spare():
    items = [Duration(100, 0, 100, 100), Duration(50, 0, 50, 50)]
    ours = forecast(1000, items, curfew_s=1200, planned_end_s=1140)
    assert (ours.end_s, ours.low_s, ours.high_s) == (1150, 1150, 1150)
    assert (ours.spare_s, ours.over_s, ours.p_make) == (50, 10, 1)
    assert forecast(1000, items, curfew_s=1149).p_make == 0
    late = forecast(1000, [], None)
    assert (late.end_s, late.p_make, late.spare_s, late.over_s) == (1000, None, None, None)


def test_a_normal_quantile_from_tables():
    # 95 % of a normal lies within 1.959964 standard deviations; standard tables.
    ours = forecast(0, [Duration(100, 10)], None, confidence=0.95)
    assert ours.high_s == pytest.approx(119.59964, abs=1e-5)


@pytest.mark.parametrize("confidence", [0, 1, -1, 90])
def test_a_confidence_that_is_no_probability_is_refused(confidence):
    with pytest.raises(ValueError, match=rf"confidence {confidence} is not a probability; give one between"):
        forecast(0, [], None, confidence=confidence)


# --- cuts -----------------------------------------------------------------------------------------------


def every_set(now, items, cuttable, curfew, level):
    """The least (size, time cut) that does, by trying every set."""
    places = [i for i, may in enumerate(cuttable) if may]
    found = []
    for size in range(len(places) + 1):
        for gone in combinations(places, size):
            kept = [d for i, d in enumerate(items) if i not in gone]
            spare = curfew - now - sum(d.mean_s for d in kept)
            if probability(spare, sum(d.sd_s**2 for d in kept)) >= level:
                found.append((size, sum(items[i].mean_s for i in gone)))
        if found:
            return min(found)
    return None


@pytest.mark.parametrize("seed", range(150))
def test_cuts_are_the_fewest_and_then_the_shortest(seed):
    pick = random.Random(seed)
    items = some_items(seed, pick.randint(1, 9))
    cuttable = [pick.random() < 0.7 for _ in items]
    mean = sum(d.mean_s for d in items)
    curfew, level = 500 + mean * pick.uniform(0.3, 1.05), pick.choice((0.2, 0.5, 0.9, 0.99))
    ours = cuts_by_normal(500, items, cuttable, curfew, level)
    best = every_set(500, items, cuttable, curfew, level)
    if best is None:
        assert ours is None
        return
    assert ours is not None
    assert all(cuttable[i] for i in ours)
    assert (len(ours), sum(items[i].mean_s for i in ours)) == (best[0], pytest.approx(best[1]))


@pytest.mark.parametrize("seed", range(100))
def test_what_is_offered_to_cut_is_enough_also_where_nothing_is_normal(seed):
    pick, items = random.Random(seed), a_show(seed)
    cuttable = [pick.random() < 0.7 for _ in items]
    curfew, level = sum(d.mean_s for d in items) * pick.uniform(0.3, 1.05), pick.choice((0.5, 0.9, 0.99))
    ours = cuts(0, items, cuttable, curfew, level)
    gone = [i for i, may in enumerate(cuttable) if may] if ours is None else ours
    p_make = forecast(0, [d for i, d in enumerate(items) if i not in gone], curfew).p_make
    assert (p_make >= level) == (ours is not None)


def test_a_large_show_is_still_searched_to_the_end():
    items = some_items(5, 40)
    mean = sum(d.mean_s for d in items)
    ours = cuts(0, items, [True] * 40, 0.8 * mean)
    assert ours is not None
    assert 4 <= len(ours) <= 12


@given(st.floats(-1e4, 1e4), st.floats(0, 1e6))
def test_more_time_never_makes_the_curfew_less_likely(spare, variance):
    assert 0 <= probability(spare, variance) <= probability(spare + 1, variance) <= 1


@pytest.mark.parametrize("n", [1, 2, 3, 6, 18])
def test_the_end_of_uniform_lengths_is_that_of_scipys_irwin_hall(n):
    durations = [Duration(300.0, 60 / 12**0.5, 270.0, 330.0)] * n
    exact = stats.irwinhall(n, loc=270.0 * n, scale=60.0)
    for quantile in (0.02, 0.1, 0.5, 0.9, 0.98):
        found = forecast(0.0, durations, float(exact.ppf(quantile)))
        assert found.p_make == pytest.approx(quantile, abs=0.006)
    assert (found.low_s, found.high_s) == pytest.approx(
        (exact.ppf(0.05), exact.ppf(0.95)), abs=0.02 * exact.std()
    )
