"""How honest the projected end is: simulated nights with hidden spreads and biases.

``python benchmarks/bench_nights.py [--nights 5000]``; some minutes. A night has 18 items of random kinds and
lengths without ranges. Hidden from the forecast: the night runs over or under as a whole (normal, 3 %), its scatter
is a random multiple of what kinds usually have (log-normal, 0.4), and in one of seven an item stops for minutes. At
every tenth of the show: does the nine-in-ten interval hold the true end, and how good is the probability of a curfew
near the end (Brier score: mean squared error, 0 best), beside a forecast that goes by the plan alone? And
how far is the forecast from sums whose distribution SciPy has exactly: of normal and of uniform lengths?
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from results import keep
from scipy import stats

from showcaller.timing.durations import UNSTATED, Duration, from_three_points, left_of
from showcaller.timing.forecast import Forecast, forecast
from showcaller.timing.tonight import adjusted, in_common, tonight_of

USUAL_SD = {"song": 0.04, "talk": 0.2, "walk-on": 0.15, "changeover": 0.2, "interval": 0.06}
LENGTHS_S = {"song": (180, 480), "talk": (60, 240), "walk-on": (90, 240), "changeover": (180, 420)}
KINDS = ("song", "song", "song", "song", "talk", "walk-on", "changeover")
ITEMS, STOP_S = 18, 180.0


@dataclass(frozen=True)
class World:
    """How nights are: the spread of their bias, of their scatter, and in how many an item stops for minutes."""

    bias_sd: float = 0.03
    scatter_sd: float = 0.4
    stops: float = 1 / 7


OTHERS = {
    "bias 2 %": World(bias_sd=0.02),
    "bias 5 %": World(bias_sd=0.05),
    "scatter 0.6": World(scatter_sd=0.6),
    "a stop every third night": World(stops=1 / 3),
}
"""Worlds the forecast was not made for."""
LEAST, MOST = 85.0, 95.0
TABLE = "at every tenth of the show, nine-in-ten intervals that held the end and Brier scores"


def by_plan(now_s: float, expected: Sequence[Duration], on: int, gone_s: float, curfew_s: float) -> Forecast:
    """As if tonight taught nothing."""
    return forecast(now_s, [left_of(expected[on], gone_s), *expected[on + 1 :]], curfew_s)


def by_tonight(
    now_s: float,
    expected: Sequence[Duration],
    actual_s: Sequence[float],
    on: int,
    gone_s: float,
    curfew_s: float,
) -> Forecast:
    """As the desk works it out."""
    night = tonight_of(list(zip(expected[:on], actual_s[:on], strict=True)))
    left = [adjusted(night, d) for d in expected[on:]]
    left[0] = left_of(left[0], gone_s)
    return forecast(now_s, [*left, in_common(night, left)], curfew_s)


def nights(count: int, seed: int, world: World) -> dict[str, Any]:
    """Shares of nights held, by tenth, and the Brier scores."""
    pick = np.random.default_rng(seed)
    held: dict[str, list[list[bool]]] = {"plan": [[] for _ in range(10)], "tonight": [[] for _ in range(10)]}
    errors: dict[str, list[list[float]]] = {
        "plan": [[] for _ in range(10)],
        "tonight": [[] for _ in range(10)],
    }
    for _ in range(count):
        kinds = [str(pick.choice(KINDS)) for _ in range(ITEMS)]
        planned = [float(pick.uniform(*LENGTHS_S[kind])) for kind in kinds]
        bias, scatter = pick.normal(0, world.bias_sd), np.exp(pick.normal(0, world.scatter_sd))
        actual = [
            max(0.3 * s, s * (1 + bias + pick.normal(0, USUAL_SD[kind]) * scatter))
            for kind, s in zip(kinds, planned, strict=True)
        ]
        if pick.random() < world.stops:
            actual[int(pick.integers(ITEMS))] += float(pick.exponential(STOP_S))
        expected = [
            from_three_points(s * (1 - UNSTATED[kind][0]), s, s * (1 + UNSTATED[kind][1]))
            for kind, s in zip(kinds, planned, strict=True)
        ]
        ends = np.cumsum(actual)
        end_s = float(ends[-1])
        curfew_s = sum(d.mean_s for d in expected) * (1 + float(pick.normal(0, 0.04)))
        for tenth in range(10):
            now_s = end_s * tenth / 10
            on = int(np.searchsorted(ends, now_s, side="right"))
            gone_s = now_s - (float(ends[on - 1]) if on else 0.0)
            for name, found in (
                ("plan", by_plan(now_s, expected, on, gone_s, curfew_s)),
                ("tonight", by_tonight(now_s, expected, actual, on, gone_s, curfew_s)),
            ):
                held[name][tenth].append(found.low_s <= end_s <= found.high_s)
                assert found.p_make is not None
                errors[name][tenth].append((found.p_make - (end_s <= curfew_s)) ** 2)
    shares = {name: [round(100 * float(np.mean(x)), 1) for x in rows] for name, rows in held.items()}
    brier = {name: [round(float(np.mean(x)), 4) for x in rows] for name, rows in errors.items()}
    return {
        "nights": count,
        "seed": seed,
        TABLE: [
            {
                "tenths": tenth,
                "held %": shares["tonight"][tenth],
                "held by the plan alone %": shares["plan"][tenth],
                "Brier": brier["tonight"][tenth],
                "Brier by the plan alone": brier["plan"][tenth],
            }
            for tenth in range(10)
        ],
        "Brier score, tonight": round(float(np.mean(errors["tonight"])), 4),
        "Brier score, plan alone": round(float(np.mean(errors["plan"])), 4),
        "met": all(LEAST <= x <= MOST for x in shares["tonight"])
        and float(np.mean(errors["tonight"])) < float(np.mean(errors["plan"])),
    }


def _short(found: dict[str, Any]) -> dict[str, Any]:
    held = [row["held %"] for row in found[TABLE]]
    return {
        "held at least %": min(held),
        "at most %": max(held),
        "Brier": found["Brier score, tonight"],
        "by the plan alone": found["Brier score, plan alone"],
    }


def exact_sums() -> dict[str, float]:
    """Worst difference of the probability of a curfew, in percentage points, and of the interval's ends as
    shares of the sum's standard deviation, in %."""
    points, ends = [], []
    for n in (1, 2, 3, 6, 18):
        uniform = [Duration(300.0, 60 / 12**0.5, 270.0, 330.0)] * n
        for durations, exact in (
            (uniform, stats.irwinhall(n, loc=270.0 * n, scale=60.0)),
            ([Duration(300.0, 17.0)] * n, stats.norm(300.0 * n, 17.0 * n**0.5)),
        ):
            for quantile in (0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99):
                found = forecast(0.0, durations, float(exact.ppf(quantile)))
                assert found.p_make is not None
                points.append(abs(100 * (found.p_make - quantile)))
            sd = float(exact.std())
            ends += [100 * abs(found.low_s - float(exact.ppf(0.05))) / sd]
            ends += [100 * abs(found.high_s - float(exact.ppf(0.95))) / sd]
    return {
        "probability, percentage points": round(max(points), 2),
        "ends of the interval, % of the spread": round(max(ends), 2),
    }


def main() -> None:
    """Simulate, print, keep."""
    options = argparse.ArgumentParser()
    options.add_argument("--nights", type=int, default=5000)
    options.add_argument("--seed", type=int, default=14)
    given = options.parse_args()
    found = nights(given.nights, given.seed, World())
    found["worst difference from sums that SciPy has exactly"] = exact_sums()
    found["nights of other kinds than it was made for"] = [
        {"nights": name, **_short(nights(given.nights // 5, given.seed, world))}
        for name, world in OTHERS.items()
    ]
    for name, value in found.items():
        print(f"{name}: {value}")
    if given.nights >= 1000:
        keep("nights", found)


if __name__ == "__main__":
    main()
