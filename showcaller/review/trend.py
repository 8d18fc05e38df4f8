"""An item across the tour: individuals and moving range, and whether a night was out of the ordinary.

NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: limits lie at the mean
± 3 × (mean moving range ÷ 1.128). Where the item itself was changed between two editions another stage
begins, with figures of its own: nights before and after are not of one process.
"""

from collections.abc import Sequence
from itertools import groupby, pairwise
from statistics import fmean
from typing import Literal

from showcaller.values import Struct

D2 = 1.128
"""Mean range of two from a normal distribution, in its standard deviations, as the handbook prints it."""

D4 = 3.267
"""Upper limit of the moving range, in mean moving ranges."""

SIDE_RUN = 8
"""So many in a row on one side of the centre are a shift (Western Electric, Statistical Quality Control)."""

Rule = Literal["beyond a limit", "2 of 3 far out", "4 of 5 off centre", "8 on one side"]
_ZONES: tuple[tuple[Rule, int, int, float], ...] = (
    ("2 of 3 far out", 2, 3, 2.0),
    ("4 of 5 off centre", 4, 5, 1.0),
)
"""(rule, how many, of how many, beyond how many standard deviations on the same side)."""


class TrendPoint(Struct, frozen=True):
    """One night's value: the run's number, its edition's, and e.g. seconds.

    ``stage`` counts up where the item itself was changed; nights are only compared within a stage. ``kind``:
    show, rehearsal or simulated.
    """

    run: int
    edition: int
    value: float
    stage: int = 0
    kind: str = "show"


class Stage(Struct, frozen=True):
    """Nights from place ``first`` to ``last`` (both in it) with limits of their own.

    Limits are None for fewer than two nights to take them from.
    """

    first: int
    last: int
    centre: float
    mean_range: float | None
    upper: float | None
    lower: float | None
    range_upper: float | None


class Signal(Struct, frozen=True):
    """A night that a run rule speaks of; ``point`` is its place, the last of those that make it up."""

    point: int
    rule: Rule


class Trend(Struct, frozen=True):
    """Points with their limits. Centre and limits are the last stage's, by which the next night is judged.

    ``moving_ranges[i]`` lies between points i and i + 1. ``outside`` and ``shifted`` are places in
    ``points``: beyond a limit, and ending a run of eight or more on one side; ``signals`` are all four of
    Western Electric's rules. ``edition_breaks`` are places before which the edition changed.
    """

    points: tuple[TrendPoint, ...]
    moving_ranges: tuple[float, ...]
    stages: tuple[Stage, ...]
    outside: tuple[int, ...]
    shifted: tuple[int, ...]
    signals: tuple[Signal, ...]
    edition_breaks: tuple[int, ...]

    @property
    def centre(self) -> float:
        return self.stages[-1].centre

    @property
    def mean_range(self) -> float | None:
        return self.stages[-1].mean_range

    @property
    def upper(self) -> float | None:
        return self.stages[-1].upper

    @property
    def lower(self) -> float | None:
        return self.stages[-1].lower

    @property
    def range_upper(self) -> float | None:
        return self.stages[-1].range_upper


def trend(points: Sequence[TrendPoint], *, baseline: int | None = None, least: float | None = None) -> Trend:
    """The chart of individuals.

    Args:
        points: in the order of the nights, at least one.
        baseline: how many of the last stage's first points set its centre and limits; all if None. A new
            night may so be judged by the nights before it.
        least: what no value can be below, so that no limit is; a length has 0.

    Raises:
        ValueError: no point, or a baseline that is not among them.
    """
    if not points:
        raise ValueError("a trend needs at least one night")
    spans = [[n for n, _ in group] for _, group in groupby(enumerate(points), key=lambda p: p[1].stage)]
    last = len(spans[-1])
    count = last if baseline is None else baseline
    if not 1 <= count <= last:
        raise ValueError(f"a baseline of {count} is not among {last} nights; give 1 to {last}")
    values = [p.value for p in points]
    stages = tuple(_stage(values, s, len(s) if s is not spans[-1] else count, least) for s in spans)
    signals = [signal for stage in stages for signal in _signals(values, stage)]
    return Trend(
        points=tuple(points),
        moving_ranges=tuple(abs(b - a) for a, b in pairwise(values)),
        stages=stages,
        outside=tuple(s.point for s in signals if s.rule == "beyond a limit"),
        shifted=tuple(s.point for s in signals if s.rule == "8 on one side"),
        signals=tuple(sorted(signals, key=lambda s: s.point)),
        edition_breaks=tuple(n + 1 for n, (a, b) in enumerate(pairwise(points)) if a.edition != b.edition),
    )


def _stage(values: Sequence[float], span: list[int], count: int, least: float | None) -> Stage:
    mine = values[span[0] : span[0] + count]
    centre = fmean(mine)
    ranges = [abs(b - a) for a, b in pairwise(mine)]
    mean_range = fmean(ranges) if ranges else None
    reach = None if mean_range is None else 3 * mean_range / D2
    return Stage(
        span[0],
        span[-1],
        centre,
        mean_range,
        None if reach is None else centre + reach,
        None if reach is None else centre - reach if least is None else max(least, centre - reach),
        None if mean_range is None else D4 * mean_range,
    )


def _signals(values: Sequence[float], stage: Stage) -> list[Signal]:
    mine = values[stage.first : stage.last + 1]
    found: list[Signal] = []
    run, side = 0, 0
    for i, value in enumerate(mine):
        now = (value > stage.centre) - (value < stage.centre)
        run = run + 1 if now == side and now != 0 else abs(now)
        side = now
        if run >= SIDE_RUN:
            found.append(Signal(stage.first + i, "8 on one side"))
        if stage.mean_range is None:
            continue
        sigma = stage.mean_range / D2
        if abs(value - stage.centre) > 3 * sigma:
            found.append(Signal(stage.first + i, "beyond a limit"))
        for rule, many, of, reach in _ZONES:
            if not now or (value - stage.centre) * now <= reach * sigma:
                continue
            window = mine[max(0, i - of + 1) : i + 1]
            if sum((v - stage.centre) * now > reach * sigma for v in window) >= many:
                found.append(Signal(stage.first + i, rule))
    return found
