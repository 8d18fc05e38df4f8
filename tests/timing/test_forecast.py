"""The projected end: closed form against simulation, and cuts against trying every set."""

import random
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from showcaller.timing.durations import Duration, from_three_points
from showcaller.timing.forecast import cuts, forecast, is_near_normal, probability, simulate


def some_items(seed, count=30):
    pick = random.Random(seed)
    items = []
    for _ in range(count):
        likely = pick.uniform(30, 400)
        items.append(from_three_points(likely * pick.uniform(0.85, 1), likely, likely * pick.uniform(1, 1.3)))
    return items


@pytest.mark.parametrize("seed", range(12))
def test_closed_form_and_simulation_agree_where_the_closed_form_holds(seed):
    items = some_items(seed)
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


def test_one_talk_that_may_run_away_is_simulated():
    items = [*some_items(1, 5), from_three_points(60, 90, 1500)]
    assert not is_near_normal(items)
    mean = sum(d.mean_s for d in items)
    generator = np.random.default_rng(4)
    ours = forecast(0, items, mean, generator=generator)
    # The median of a long right tail lies below its mean: more than half the shows end by the mean.
    assert ours.p_make > 0.53
    exact = simulate(items, np.random.default_rng(99), 200_000)
    assert ours.p_make == pytest.approx(np.mean(exact <= mean), abs=0.02)
    assert ours.high_s == pytest.approx(np.quantile(exact, 0.95), rel=0.03)
    assert forecast(0, items, mean).p_make == pytest.approx(0.5)


def test_a_single_item_by_simulation_is_its_own_beta():
    item = from_three_points(100, 120, 200)
    a, b = item.shape()
    ours = forecast(0, [item], 140, generator=np.random.default_rng(2))
    assert ours.p_make == pytest.approx(stats.beta(a, b, loc=100, scale=100).cdf(140), abs=0.02)


def test_the_same_generator_gives_the_same_forecast():
    items = [from_three_points(60, 90, 1500)]
    first, second = (forecast(0, items, 300, generator=np.random.default_rng(8)) for _ in range(2))
    assert first == second


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
            if forecast(now, kept, curfew).p_make >= level:
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
    ours = cuts(500, items, cuttable, curfew, level)
    best = every_set(500, items, cuttable, curfew, level)
    if best is None:
        assert ours is None
        return
    assert ours is not None
    assert all(cuttable[i] for i in ours)
    kept = [d for i, d in enumerate(items) if i not in ours]
    assert forecast(500, kept, curfew).p_make >= level
    assert (len(ours), sum(items[i].mean_s for i in ours)) == (best[0], pytest.approx(best[1]))


def test_a_large_show_is_still_searched_to_the_end():
    items = some_items(5, 40)
    mean = sum(d.mean_s for d in items)
    ours = cuts(0, items, [True] * 40, 0.8 * mean)
    assert ours is not None
    assert 4 <= len(ours) <= 12


@given(st.floats(-1e4, 1e4), st.floats(0, 1e6))
def test_more_time_never_makes_the_curfew_less_likely(spare, variance):
    assert 0 <= probability(spare, variance) <= probability(spare + 1, variance) <= 1
