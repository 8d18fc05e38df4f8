"""How the show stood at an instant of a run: which item, where in it, what had fired, what came next."""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction

from showcaller.review.moments import Moment
from showcaller.review.report import RunReport
from showcaller.review.sections import ClockTrack, clock_tracks
from showcaller.review.timeline import NS, Timeline, Visit, make_timeline
from showcaller.values import Struct


class Standing(Struct, frozen=True):
    """The show at an instant. ``clock_s`` is the item's own clock; ``look`` the look on the wall, if known.

    ``last`` and ``coming`` are the cue before and the cues after, with the seconds since or until them.
    """

    wall_ns: int
    show_s: float
    item: str
    clock_s: float | None
    bar: tuple[int, int] | None
    held: bool
    look: str
    last: tuple[Moment, float] | None
    coming: tuple[tuple[Moment, float], ...]


class Standings:
    """A run ready to be asked for any instant; built once, answers in microseconds."""

    def __init__(self, report: RunReport) -> None:
        self._report = report
        self._timeline: Timeline = make_timeline(report.records)
        self._tracks: dict[str, ClockTrack] = clock_tracks(report.records)
        self._starts = [v.start_ns for v in self._timeline.visits]
        self._items = {p.item.id: p for p in report.plan.items}
        self._cues = [m for m in report.moments if m.kind == "cue"]
        self._looks = [m for m in report.moments if m.kind == "look"]
        self._cue_ns = [m.t_ns for m in self._cues]
        self._look_ns = [m.t_ns for m in self._looks]

    def at(self, t_ns: int, ahead: int = 3) -> Standing:
        """The show at ``t_ns`` of the run's clock."""
        n = bisect_right(self._starts, t_ns) - 1
        visit = self._timeline.visits[n] if n >= 0 else None
        held = any(h.start_ns <= t_ns < h.start_ns + h.ns for h in self._timeline.holds)
        name, clock_s, bar = "", None, None
        if visit is not None:
            planned = self._items[visit.item]
            clock_s = self._clock_s(visit, t_ns)
            position = planned.bar_at(Fraction(clock_s)) if clock_s is not None else None
            name = planned.item.name
            bar = None if position is None else (position[0], int(position[1]))
        cue = bisect_right(self._cue_ns, t_ns)
        look = bisect_right(self._look_ns, t_ns) - 1
        return Standing(
            self._report.wall_ns(t_ns),
            (t_ns - self._timeline.begun_ns) / NS,
            name,
            clock_s,
            bar,
            held,
            self._looks[look].name if look >= 0 else "",
            (self._cues[cue - 1], (t_ns - self._cue_ns[cue - 1]) / NS) if cue else None,
            tuple((m, (m.t_ns - t_ns) / NS) for m in self._cues[cue : cue + ahead]),
        )

    def _clock_s(self, visit: Visit, t_ns: int) -> float | None:
        if t_ns > self._timeline.end_ns:
            return None
        held = sum(
            max(0, min(t_ns, h.start_ns + h.ns) - h.start_ns)
            for h in self._timeline.holds
            if visit.start_ns <= h.start_ns <= t_ns
        )
        ran_ns = t_ns - visit.start_ns - held
        if ran_ns > visit.ran_ns:
            return None  # it is over, and the next has not begun
        last = [v for v in self._timeline.visits if v.item == visit.item][-1]
        if visit is last:
            return self._tracks[visit.item].at(ran_ns) / NS
        return (visit.at_ns + ran_ns) / NS


def follow(found: Sequence[Moment], t_ns: int) -> int:
    """The place of the last moment at or before an instant; 0 before the first."""
    return max(0, bisect_right([m.t_ns for m in found], t_ns) - 1)
