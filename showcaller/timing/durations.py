"""How long an item takes: from the plan, learned from runs, and what is left of it once it has begun.

A duration is a beta distribution on [low, high] with a given mean and standard deviation; where the bounds
are infinite, a normal one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import exp, inf, isfinite
from statistics import NormalDist, median
from typing import TYPE_CHECKING

from showcaller.model import Item, Song
from showcaller.values import Struct

if TYPE_CHECKING:
    import numpy as np

UNSTATED: Mapping[str, tuple[float, float]] = {
    "song": (0.1, 0.1),
    "talk": (0.4, 0.8),
    "walk-on": (0.3, 0.5),
    "changeover": (0.25, 0.7),
    "interval": (0.05, 0.2),
}
"""How much shorter and longer than planned an item of a kind may be that nobody has given a range and
nobody has measured, as shares of its length (common practice, no source)."""
_UNSTATED_CODE = 0.01
_PLAN_RUNS = 3


class Duration(Struct, frozen=True):
    """A random length: its mean, standard deviation and bounds, in seconds."""

    mean_s: float
    sd_s: float
    low_s: float = -inf
    high_s: float = inf

    @property
    def bounded(self) -> bool:
        """Whether it is a beta distribution, with some spread inside finite bounds."""
        return self.sd_s > 0 and isfinite(self.low_s) and isfinite(self.high_s)

    def shape(self) -> tuple[float, float]:
        """The beta's two shape parameters, from mean and variance (method of moments)."""
        below, above = self.mean_s - self.low_s, self.high_s - self.mean_s
        total = below * above / self.sd_s**2 - 1
        return total * below / (below + above), total * above / (below + above)

    @property
    def skewness(self) -> float:
        """Third standardised moment: for a beta 2 (b − a) √(a + b + 1) / ((a + b + 2) √(ab)), else 0."""
        if not self.bounded:
            return 0.0
        a, b = self.shape()
        return float(2 * (b - a) * (a + b + 1) ** 0.5 / ((a + b + 2) * (a * b) ** 0.5))

    @property
    def excess_kurtosis(self) -> float:
        """Fourth standardised moment less the normal's 3; 0 unless it is a beta (its textbook formula)."""
        if not self.bounded:
            return 0.0
        a, b = self.shape()
        above = (a - b) ** 2 * (a + b + 1) - a * b * (a + b + 2)
        return float(6 * above / (a * b * (a + b + 2) * (a + b + 3)))

    def sample(
        self, generator: np.random.Generator, count: int
    ) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        """``count`` random lengths in seconds; shape (count,)."""
        import numpy as np  # noqa: PLC0415 - a tenth of a second, not before the window opens

        if self.sd_s == 0:
            return np.full(count, self.mean_s)
        if not self.bounded:
            return generator.normal(self.mean_s, self.sd_s, count)
        lengths = generator.beta(*self.shape(), count)
        lengths *= self.high_s - self.low_s
        lengths += self.low_s
        return lengths


def from_three_points(shortest_s: float, likely_s: float, longest_s: float) -> Duration:
    """The beta-PERT distribution: mean (a + 4m + b) / 6, variance (mean − a)(b − mean) / 7.

    The handbook rule sd = (b − a) / 6 is right only near the middle (for 2, 5, 14 it gives 2.0, where the
    distribution has 2.138); the exact one is used.

    Raises:
        ValueError: the three are not in order.
    """
    if not shortest_s <= likely_s <= longest_s:
        raise ValueError(
            f"shortest {shortest_s:g} s, likely {likely_s:g} s, longest {longest_s:g} s are not in order; "
            "give shortest ≤ likely ≤ longest"
        )
    mean = (shortest_s + 4 * likely_s + longest_s) / 6
    return Duration(mean, ((mean - shortest_s) * (longest_s - mean) / 7) ** 0.5, shortest_s, longest_s)


def planned_duration(item: Item) -> Duration:
    """An item's duration as planned, by :func:`from_three_points`.

    Where only one bound is planned the other lies as far on the other side; where none is, by
    :data:`UNSTATED`, 1 % either side for a song that runs to timecode (common practice, no source). A
    bound on the wrong side of the planned length counts as the length.
    """
    likely = float(item.length_s)
    short = None if item.shortest_s is None else min(float(item.shortest_s), likely)
    long = None if item.longest_s is None else max(float(item.longest_s), likely)
    if short is None and long is None:
        coded = isinstance(item, Song) and item.timecode_start is not None
        less, more = (_UNSTATED_CODE, _UNSTATED_CODE) if coded else UNSTATED[item.kind]
        return from_three_points(likely * (1 - less), likely, likely * (1 + more))
    if short is None:
        assert long is not None
        short = max(0.0, 2 * likely - long)
    if long is None:
        long = 2 * likely - short
    return from_three_points(short, likely, long)


def learned_duration(plan: Duration, samples_s: Sequence[float]) -> Duration:
    """A duration learned from earlier runs, leaning on the plan while runs are few.

    With n runs, their median c and robust spread s (:func:`qn_spread`), and the plan counting as k = 3 runs::

        mean     = (k·plan mean + n·c) / (n + k)
        variance = (k·plan variance + n·s² + n·k/(n + k)·(c − plan mean)²) / (n + k) · (1 + 1/(n + k))

    That is the normal model's update of a guess worth k observations, with robust estimates in place of mean
    and standard deviation, so that one night's accident does not move it; the last factor is for the centre
    being an estimate itself. Common practice, no source. One run has no spread of its own: the plan's stands.
    """
    n, k = len(samples_s), _PLAN_RUNS
    if n == 0:
        return plan
    centre = median(samples_s)
    spread = qn_spread(samples_s) if n > 1 else plan.sd_s
    mean = (k * plan.mean_s + n * centre) / (n + k)
    apart = n * k / (n + k) * (centre - plan.mean_s) ** 2
    variance = (k * plan.sd_s**2 + n * spread**2 + apart) / (n + k) * (1 + 1 / (n + k))
    if not (isfinite(plan.low_s) and isfinite(plan.high_s)):
        return Duration(mean, variance**0.5, plan.low_s, plan.high_s)
    # Wide enough for every run seen, and for a beta to have this spread; a length is never negative.
    sd = variance**0.5
    low = max(0.0, min(plan.low_s, *samples_s, mean - 3 * sd))
    high = max(plan.high_s, *samples_s, mean + 3 * sd)
    return Duration(mean, min(sd, 0.9 * ((mean - low) * (high - mean)) ** 0.5), low, high)


def qn_spread(samples: Sequence[float]) -> float:
    """Rousseeuw and Croux's Qn: a standard deviation that up to half the samples cannot spoil.

    2.2219 times the k-th smallest distance between two samples, k = h(h − 1)/2 with h = n//2 + 1, times a
    factor for few samples (Croux and Rousseeuw 1992; constants from memory, checked by simulation).

    Raises:
        ValueError: fewer than two samples.
    """
    n = len(samples)
    if n < 2:
        raise ValueError(f"{n} samples have no spread; give at least 2")
    import numpy as np  # noqa: PLC0415 - as above

    values = np.sort(np.asarray(samples, dtype=np.float64))
    first, second = np.triu_indices(n, 1)
    h = n // 2 + 1
    k = h * (h - 1) // 2
    distance = float(np.partition(values[second] - values[first], k - 1)[k - 1])
    few = {2: 0.399, 3: 0.994, 4: 0.512, 5: 0.844, 6: 0.611, 7: 0.857, 8: 0.669, 9: 0.872}
    factor = few.get(n, n / (n + 1.4) if n % 2 else n / (n + 3.8))
    return 2.2219 * factor * distance


def left_of(duration: Duration, elapsed_s: float) -> Duration:
    """What is left of an item that has run for ``elapsed_s`` and has not ended.

    The distribution cut off below ``elapsed_s``: for a beta by incomplete beta functions, for a normal by the
    usual formulas of the truncated normal. An item past its longest is expected to end at once.
    """
    if elapsed_s <= duration.low_s:
        return _later(duration, elapsed_s)
    if duration.sd_s == 0 or elapsed_s >= duration.high_s:
        return Duration(max(0.0, duration.mean_s - elapsed_s) if duration.sd_s == 0 else 0.0, 0.0, 0.0, 0.0)
    if not duration.bounded:
        return _left_of_normal(duration, elapsed_s)
    a, b = duration.shape()
    span = duration.high_s - duration.low_s
    x = (elapsed_s - duration.low_s) / span
    from scipy import special  # noqa: PLC0415 - a tenth of a second, not before the window opens

    tail = float(special.betaincc(a, b, x))
    if tail < 1e-12:
        return Duration(0.0, 0.0, 0.0, 0.0)
    first = a / (a + b) * float(special.betaincc(a + 1, b, x)) / tail
    second = a * (a + 1) / ((a + b) * (a + b + 1)) * float(special.betaincc(a + 2, b, x)) / tail
    left = span * (first - x)
    sd = span * max(0.0, second - first * first) ** 0.5
    return Duration(left, sd, 0.0, duration.high_s - elapsed_s)


def _later(duration: Duration, elapsed_s: float) -> Duration:
    return Duration(
        duration.mean_s - elapsed_s, duration.sd_s, duration.low_s - elapsed_s, duration.high_s - elapsed_s
    )


def _left_of_normal(duration: Duration, elapsed_s: float) -> Duration:
    z = (elapsed_s - duration.mean_s) / duration.sd_s
    # φ(z) / (1 − Φ(z)) in logarithms, which holds out far into the tail.
    from scipy import special  # noqa: PLC0415 - as above

    hazard = NormalDist().pdf(z) / exp(float(special.log_ndtr(-z))) if z < 30 else z
    variance = max(0.0, 1 + z * hazard - hazard * hazard)
    return Duration(duration.sd_s * (hazard - z), duration.sd_s * variance**0.5, 0.0, inf)
