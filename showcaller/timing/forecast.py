"""When the show will end, how sure that is, and what to cut to make the curfew.

Lengths of items are random and independent; each is a :class:`Duration`. Their sum has the sum of their means
and variances, and is close to normal when no item dominates: then everything is closed form. Otherwise their
distributions are convolved (``sums.py``), which is exact, always the same, and quicker than simulating. These
are statistics, so seconds here are floats.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import NormalDist
from typing import TYPE_CHECKING

from showcaller.timing.durations import Duration
from showcaller.values import Struct

if TYPE_CHECKING:
    import numpy as np

_NORMAL = NormalDist()
_SEARCHES = 24


class Forecast(Struct, frozen=True):
    """The projected end in seconds into the show: expected, and low to high with the chosen confidence.

    ``p_make`` is the probability, 0 to 1, of ending by the curfew and ``spare_s`` how long before it the
    end is expected (negative: after); None without a curfew. ``over_s`` is how much later than planned the
    show is expected to end (negative: earlier); None where no planned end was given.
    """

    end_s: float
    low_s: float
    high_s: float
    p_make: float | None
    spare_s: float | None
    over_s: float | None


def forecast(
    now_s: float,
    remaining: Sequence[Duration],
    curfew_s: float | None,
    planned_end_s: float | None = None,
    confidence: float = 0.9,
) -> Forecast:
    """The end of a show that is at ``now_s`` with these items, or what is left of them, to come.

    Closed form where :func:`is_near_normal`, else by convolution. ``confidence`` is the probability, above 0
    and below 1, that the end lies in [low_s, high_s].

    Raises:
        ValueError: ``confidence`` is not between 0 and 1.
    """
    if not 0 < confidence < 1:
        raise ValueError(
            f"confidence {confidence} is not a probability; give one between 0 and 1, such as 0.9"
        )
    mean = now_s + sum(d.mean_s for d in remaining)
    if not is_near_normal(remaining):
        from showcaller.timing.sums import summed  # noqa: PLC0415 - numpy, not before the window opens

        total = summed(remaining)
        tail = (1 - confidence) / 2
        low, high = now_s + total.quantile(tail), now_s + total.quantile(1 - tail)
        p_make = None if curfew_s is None else total.probability_by(curfew_s - now_s)
    else:
        sd = sum(d.sd_s**2 for d in remaining) ** 0.5
        reach = _NORMAL.inv_cdf((1 + confidence) / 2) * sd
        low, high = mean - reach, mean + reach
        p_make = None if curfew_s is None else probability(curfew_s - mean, sd * sd)
    return Forecast(
        mean,
        low,
        high,
        p_make,
        None if curfew_s is None else curfew_s - mean,
        None if planned_end_s is None else mean - planned_end_s,
    )


def probability(spare_s: float, variance: float) -> float:
    """That a normal sum ends in time, ``spare_s`` after its mean. Without spread it is 0 or 1."""
    if variance <= 0:
        return 1.0 if spare_s >= 0 else 0.0
    return _NORMAL.cdf(spare_s / variance**0.5)


def is_near_normal(durations: Sequence[Duration]) -> bool:
    """Whether the sum is so near to normal that the closed form is good to half a percentage point.

    The terms by which a sum departs from the normal (Edgeworth) are skewness × (1 − z²) φ(z) / 6, at most
    0.0665 × skewness, and excess kurtosis × (3z − z³) φ(z) / 24, at most 0.023 × excess kurtosis. From
    memory; the tests compare with a convolution of their own.
    """
    variance = sum(d.sd_s**2 for d in durations)
    if variance == 0:
        return True
    skewness = sum(d.skewness * d.sd_s**3 for d in durations) / variance**1.5
    excess = sum(d.excess_kurtosis * d.sd_s**4 for d in durations) / variance**2
    return bool(0.0665 * abs(skewness) + 0.023 * abs(excess) < 0.006)


def simulate(
    durations: Sequence[Duration], generator: np.random.Generator, runs: int = 10_000
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Total seconds of ``durations`` in each of ``runs`` simulated shows; shape (runs,)."""
    import numpy as np  # noqa: PLC0415 - as above

    total = np.zeros(runs)
    for duration in durations:
        total += duration.sample(generator, runs)
    return total


def cuts(
    now_s: float,
    remaining: Sequence[Duration],
    cuttable: Sequence[bool],
    curfew_s: float,
    level: float = 0.9,
) -> tuple[int, ...] | None:
    """The fewest items to cut for the curfew to be made with probability ``level`` or more.

    Of sets equally small, the one that cuts the least time. Places in ``remaining``, in order; () when
    nothing need be cut, None when cutting everything that may be cut is not enough. The search goes by the
    closed form, exactly: a branch is left when even the longest items left to choose, with the most variance,
    would not do, or the shortest would cut more time than the best set found. Where the closed form does not
    hold, what is found is looked at by :func:`forecast`, and while it is not enough the search is asked more.
    """
    asked = level
    for _ in range(_SEARCHES):
        found = cuts_by_normal(now_s, remaining, cuttable, curfew_s, asked)
        if found is None:
            break
        kept = [d for i, d in enumerate(remaining) if i not in found]
        p_make = forecast(now_s, kept, curfew_s).p_make
        if p_make is None or p_make >= level:
            return found
        asked = min(asked + max(level - p_make, (1 - asked) / 4), (asked + 3) / 4)
    everything = tuple(i for i, may in enumerate(cuttable) if may)
    kept = [d for i, d in enumerate(remaining) if i not in everything]
    p_make = forecast(now_s, kept, curfew_s).p_make
    return everything if everything and p_make is not None and p_make >= level else None


def cuts_by_normal(
    now_s: float, remaining: Sequence[Duration], cuttable: Sequence[bool], curfew_s: float, level: float
) -> tuple[int, ...] | None:
    """:func:`cuts` as if the sum were normal."""
    spare = curfew_s - now_s - sum(d.mean_s for d in remaining)
    variance = sum(d.sd_s**2 for d in remaining)
    if probability(spare, variance) >= level:
        return ()
    order = sorted((i for i, may in enumerate(cuttable) if may), key=lambda i: -remaining[i].mean_s)
    for size in range(1, len(order) + 1):
        found = _Cut(remaining, order, spare, variance, level).best(size)
        if found is not None:
            return tuple(sorted(found))
    return None


class _Cut:
    """Looks for the best set of one size among items in falling order of their means."""

    def __init__(
        self, durations: Sequence[Duration], order: list[int], spare: float, variance: float, level: float
    ) -> None:
        self._order = order
        self._means = [durations[i].mean_s for i in order]
        self._variances = [durations[i].sd_s ** 2 for i in order]
        self._spare, self._variance, self._level = spare, variance, level
        self._least = float("inf")
        self._best: tuple[int, ...] | None = None

    def best(self, size: int) -> tuple[int, ...] | None:
        self._search(0, size, (), 0.0, 0.0)
        return self._best

    def _search(self, at: int, more: int, chosen: tuple[int, ...], mean: float, variance: float) -> None:
        if more == 0:
            enough = probability(self._spare + mean, self._variance - variance) >= self._level
            if enough and mean < self._least:
                self._least, self._best = mean, tuple(self._order[n] for n in chosen)
            return
        left = len(self._means) - at
        if left < more or mean + sum(self._means[len(self._means) - more :]) >= self._least:
            return
        spare = self._spare + mean + sum(self._means[at : at + more])
        most = sum(sorted(self._variances[at:], reverse=True)[:more])
        # Less spread helps while there is time to spare, and hurts once there is none.
        spread = self._variance - variance - (most if spare >= 0 else 0)
        if probability(spare, max(spread, 0.0)) < self._level:
            return
        for n in range(at, len(self._means) - more + 1):
            self._search(n + 1, more - 1, (*chosen, n), mean + self._means[n], variance + self._variances[n])
