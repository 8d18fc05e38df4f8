"""An item across the tour: individuals and moving range, and whether a night was out of the ordinary.

NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: limits lie at the mean
± 3 × (mean moving range ÷ 1.128).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

D2 = 1.128
"""Mean range of two from a normal distribution, in its standard deviations, as the handbook prints it."""

D4 = 3.267
"""Upper limit of the moving range, in mean moving ranges."""

SIDE_RUN = 8
"""So many in a row on one side of the centre are a shift (Western Electric, Statistical Quality Control)."""


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One night's value: the run's number, its edition's, and e.g. seconds."""

    run: int
    edition: int
    value: float


@dataclass(frozen=True, slots=True)
class Trend:
    """Points with their limits. ``outside`` and ``shifted`` are places in ``points``.

    ``moving_ranges[i]`` lies between points i and i + 1; limits are None for fewer than two points to take
    them from. ``shifted`` are points that end a run of eight or more on one side of the centre.
    """

    points: tuple[TrendPoint, ...]
    moving_ranges: tuple[float, ...]
    centre: float
    mean_range: float | None
    upper: float | None
    lower: float | None
    range_upper: float | None
    outside: tuple[int, ...]
    shifted: tuple[int, ...]


def trend(points: Sequence[TrendPoint], *, baseline: int | None = None) -> Trend:
    """The chart of individuals.

    Args:
        points: in the order of the nights, at least one.
        baseline: how many of the first points set centre and limits; all if None. A new night is judged by
            the nights before it, so the desk gives ``len(points) - 1``.

    Raises:
        ValueError: no point, or a baseline that is not among them.
    """
    if not points:
        raise ValueError("a trend needs at least one night")
    count = len(points) if baseline is None else baseline
    if not 1 <= count <= len(points):
        raise ValueError(f"a baseline of {count} is not among {len(points)} nights; give 1 to {len(points)}")
    values = [p.value for p in points]
    ranges = [abs(b - a) for a, b in pairwise(values)]
    centre = fmean(values[:count])
    mean_range = fmean(ranges[: count - 1]) if count > 1 else None
    reach = None if mean_range is None else 3 * mean_range / D2
    return Trend(
        points=tuple(points),
        moving_ranges=tuple(ranges),
        centre=centre,
        mean_range=mean_range,
        upper=None if reach is None else centre + reach,
        lower=None if reach is None else centre - reach,
        range_upper=None if mean_range is None else D4 * mean_range,
        outside=() if reach is None else tuple(i for i, v in enumerate(values) if abs(v - centre) > reach),
        shifted=tuple(_shifted(values, centre)),
    )


def _shifted(values: Sequence[float], centre: float) -> list[int]:
    found = []
    run, side = 0, 0
    for i, value in enumerate(values):
        now = (value > centre) - (value < centre)
        run = run + 1 if now == side and now != 0 else abs(now)
        side = now
        if run >= SIDE_RUN:
            found.append(i)
    return found
