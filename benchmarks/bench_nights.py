"""How honest the projected end is: simulated nights with hidden spreads and biases.

``python benchmarks/bench_nights.py [--nights 5000]``; some minutes. A night has 18 items of random kinds and
lengths without ranges. Hidden from the forecast: the night runs over or under as a whole (normal, 3 %), its scatter
is a random multiple of what kinds usually have (log-normal, 0.4), and in one of seven an item stops for minutes. At
every tenth of the show: does the nine-in-ten interval hold the true end, and how good is the probability of a curfew
near the end (Brier score: mean squared error, 0 best), beside a forecast that goes by the plan alone?
"""

import argparse
from collections.abc import Sequence
from typing import Any

import numpy as np
from results import keep

from showcaller.timing.durations import UNSTATED, Duration, from_three_points, left_of
from showcaller.timing.forecast import Forecast, forecast
from showcaller.timing.tonight import adjusted, in_common, tonight_of

USUAL_SD = {"song": 0.04, "talk": 0.2, "walk-on": 0.15, "changeover": 0.2, "interval": 0.06}
LENGTHS_S = {"song": (180, 480), "talk": (60, 240), "walk-on": (90, 240), "changeover": (180, 420)}
KINDS = ("song", "song", "song", "song", "talk", "walk-on", "changeover")
ITEMS, BIAS_SD, SCATTER_SD, STOPS, STOP_S = 18, 0.03, 0.4, 1 / 7, 180.0
LEAST, MOST = 85.0, 95.0


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


def nights(count: int, seed: int) -> dict[str, Any]:
    """Shares of nights held, by tenth, and the Brier scores."""
    pick = np.random.default_rng(seed)
    held: dict[str, list[list[bool]]] = {"plan": [[] for _ in range(10)], "tonight": [[] for _ in range(10)]}
    errors: dict[str, list[float]] = {"plan": [], "tonight": []}
    for _ in range(count):
        kinds = [str(pick.choice(KINDS)) for _ in range(ITEMS)]
        planned = [float(pick.uniform(*LENGTHS_S[kind])) for kind in kinds]
        bias, scatter = pick.normal(0, BIAS_SD), np.exp(pick.normal(0, SCATTER_SD))
        actual = [
            max(0.3 * s, s * (1 + bias + pick.normal(0, USUAL_SD[kind]) * scatter))
            for kind, s in zip(kinds, planned, strict=True)
        ]
        if pick.random() < STOPS:
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
                errors[name].append((found.p_make - (end_s <= curfew_s)) ** 2)
    shares = {name: [round(100 * float(np.mean(x)), 1) for x in rows] for name, rows in held.items()}
    return {
        "nights": count,
        "seed": seed,
        "held by nine-in-ten intervals at every tenth, %, tonight": str(shares["tonight"]),
        "held by nine-in-ten intervals at every tenth, %, plan alone": str(shares["plan"]),
        "Brier score, tonight": round(float(np.mean(errors["tonight"])), 4),
        "Brier score, plan alone": round(float(np.mean(errors["plan"])), 4),
        "met": all(LEAST <= x <= MOST for x in shares["tonight"])
        and float(np.mean(errors["tonight"])) < float(np.mean(errors["plan"])),
    }


def main() -> None:
    """Simulate, print, keep."""
    options = argparse.ArgumentParser()
    options.add_argument("--nights", type=int, default=5000)
    options.add_argument("--seed", type=int, default=14)
    given = options.parse_args()
    found = nights(given.nights, given.seed)
    for name, value in found.items():
        print(f"{name}: {value}")
    if given.nights >= 1000:
        keep("nights", found)


if __name__ == "__main__":
    main()
