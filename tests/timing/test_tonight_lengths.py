"""What tonight teaches about the rest of it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.timing.durations import Duration, from_three_points, left_of
from showcaller.timing.forecast import forecast
from showcaller.timing.tonight import BIAS_SD, adjusted, in_common, tonight_of

SONG = from_three_points(270, 300, 330)


def test_before_anything_is_over_the_plan_stands_and_nothing_is_sure():
    night = tonight_of([])
    assert night.bias == 0
    assert adjusted(night, SONG).mean_s == SONG.mean_s
    assert adjusted(night, SONG).sd_s > SONG.sd_s, "planned spreads are often too small"
    assert night.bias_sd > BIAS_SD


# The posterior mean of a linear model with a normal prior is the ridge solution; here by numpy's least
# squares with the prior as one more row (Hoerl and Kennard 1970; the augmented rows are a textbook identity).
@given(
    st.lists(st.tuples(st.floats(60, 600), st.floats(2, 30), st.floats(-1.5, 1.5)), min_size=1, max_size=20)
)
def test_the_bias_is_the_ridge_solution_while_nothing_is_clipped(items):
    done = [(Duration(mean, sd), mean + z * sd) for mean, sd, z in items]
    rows = np.array([[mean / sd] for mean, sd, _ in items] + [[1 / BIAS_SD]])
    right = np.array([z for _, _, z in items] + [0.0])
    expected = np.linalg.lstsq(rows, right, rcond=None)[0][0]
    assert tonight_of(done).bias == pytest.approx(expected, abs=1e-9)


def test_a_night_that_runs_over_is_believed_little_by_little():
    bias = [tonight_of([(SONG, 312.0)] * n).bias for n in (0, 1, 2, 4, 8, 16)]  # every song 4 % over
    assert bias == sorted(bias)
    assert bias[1] < 0.02
    assert 0.03 < bias[-1] < 0.04
    assert tonight_of([(SONG, 312.0)] * 16).bias_sd < 0.5 * tonight_of([]).bias_sd


def test_one_accident_is_not_the_pace_of_the_night():
    quiet = [(SONG, 300.0)] * 6
    assert tonight_of([*quiet, (SONG, 1500.0)]).bias < 0.02, "twenty minutes, and six songs on time"
    assert tonight_of([*quiet, (SONG, 1500.0)]).bias == tonight_of([*quiet, (SONG, 99_999.0)]).bias


def test_a_scattered_night_widens_what_is_left_and_a_steady_one_narrows_it():
    wild = tonight_of([(SONG, 300 + d) for d in (40, -38, 35, -41, 39, -36)])
    calm = tonight_of([(SONG, 300 + d) for d in (1, -2, 1, 0, -1, 2)])
    assert wild.spread > 1.5
    assert calm.spread < 1


def test_an_item_without_spread_teaches_nothing_and_breaks_nothing():
    assert tonight_of([(Duration(60, 0, 60, 60), 90.0)]) == tonight_of([])
    assert adjusted(tonight_of([]), Duration(60, 0, 60, 60)).sd_s == 0


def test_four_items_minutes_over_take_the_certainty_away():
    """A show of twenty songs without ranges, curfew 1:26 after its planned end: what was '> 99 %'."""
    planned = [SONG] * 20
    left = planned[4:]
    over = tonight_of([(SONG, 300 + d) for d in (30, 28, 26, 31)])
    ahead = [adjusted(over, d) for d in left]
    certain = forecast(0, [*ahead, in_common(over, ahead)], 16 * 300 + 86).p_make
    assert certain < 0.1
    before = tonight_of([])
    ahead = [adjusted(before, d) for d in planned]
    assert forecast(0, [*ahead, in_common(before, ahead)], 20 * 300 + 86).p_make < 0.75


@pytest.mark.parametrize("seed", [1, 2])
def test_nine_in_ten_intervals_hold_about_nine_in_ten_nights(seed):
    """A short form of ``benchmarks/bench_nights.py``, which has 5,000 nights and every tenth of the show."""
    pick = np.random.default_rng(seed)
    held = {0.0: 0, 0.5: 0, 0.8: 0}
    nights = 250
    for _ in range(nights):
        bias, scatter = pick.normal(0, 0.03), np.exp(pick.normal(0, 0.3))
        actual = [300 * (1 + bias + pick.normal(0, 0.038) * scatter) for _ in range(18)]
        ends = np.cumsum(actual)
        for share in held:
            now = share * ends[-1]
            n = int(np.searchsorted(ends, now, side="right"))
            night = tonight_of([(SONG, s) for s in actual[:n]])
            rest = [adjusted(night, SONG)] * (18 - n)
            begun = ends[n - 1] if n else 0.0
            rest[0] = left_of(rest[0], now - begun)
            found = forecast(now, [*rest, in_common(night, rest)], None)
            held[share] += found.low_s <= ends[-1] <= found.high_s
    assert all(0.84 <= count / nights <= 0.995 for count in held.values()), held
