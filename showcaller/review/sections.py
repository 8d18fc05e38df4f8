"""A song's sections, planned against actual: when its clock passed from each to the next, holds left out."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, PlannedItem
from showcaller.timing.sections import section_spans
from showcaller.values import Struct


class SectionRow(Struct, frozen=True):
    """A named stretch of a song. Seconds; ``actual_s`` is None where it was not gone through to its end."""

    item: str
    item_name: str
    section: str
    planned_start_s: float
    planned_s: float
    actual_s: float | None
    over_s: float | None


@dataclass(slots=True)
class _Stretch:
    """Real time without holds from ``ran_ns`` on, with the item's clock at ``clock_ns`` there."""

    ran_ns: int
    clock_ns: int
    moves: bool


class ClockTrack:
    """An item's clock over the real time of its last visit, holds left out: it may jump, or stand still."""

    def __init__(self, clock_ns: int) -> None:
        self._stretches = [_Stretch(0, clock_ns, True)]
        self.end_ns = 0
        self.ended = False

    def shift(self, ran_ns: int, by_ns: int) -> None:
        """At ``ran_ns`` the clock jumps by so much, and runs."""
        self._stretches.append(_Stretch(ran_ns, self._at(ran_ns) + by_ns, True))

    def stand(self, ran_ns: int) -> None:
        """From ``ran_ns`` on it stands still."""
        self._stretches.append(_Stretch(ran_ns, self._at(ran_ns), False))

    def _at(self, ran_ns: int) -> int:
        last = self._stretches[-1]
        return last.clock_ns + (ran_ns - last.ran_ns if last.moves else 0)

    def at(self, ran_ns: int) -> int:
        """What the clock showed after so much real time without holds."""
        on = [s for s in self._stretches if s.ran_ns <= ran_ns][-1]
        return on.clock_ns + (ran_ns - on.ran_ns if on.moves else 0)

    def passed(self, clock_ns: int) -> int | None:
        """When the clock first was at or beyond a value, in real time without holds; None if it never was."""
        for n, stretch in enumerate(self._stretches):
            until = self._stretches[n + 1].ran_ns if n + 1 < len(self._stretches) else self.end_ns
            if stretch.clock_ns >= clock_ns:
                return stretch.ran_ns
            if stretch.moves and stretch.clock_ns + (until - stretch.ran_ns) >= clock_ns:
                return stretch.ran_ns + clock_ns - stretch.clock_ns
        return None


@dataclass(slots=True)
class _Sweep:
    tracks: dict[str, ClockTrack]
    item: str | None = None
    start_ns: int = 0
    held_ns: int = 0
    held_since: int | None = None

    def ran(self, t_ns: int) -> int:
        now = self.held_since if self.held_since is not None else t_ns
        return now - self.start_ns - self.held_ns

    def take(self, t_ns: int, event: ev.Event) -> None:
        match event:
            case ev.ItemStarted():
                self.item, self.start_ns, self.held_ns = event.item, t_ns, 0
                self.held_since = None
                self.tracks[event.item] = ClockTrack(round(event.at_s * NS))
            case ev.Held():
                self.held_since = t_ns
            case ev.Resumed() if self.held_since is not None:
                self.held_ns += t_ns - self.held_since if self.item is not None else 0
                self.held_since = None
        if self.item is None:
            return
        track = self.tracks[self.item]
        match event:
            case ev.Resynced() | ev.TimecodeTold() | ev.FormTurned() if event.shift_s:
                track.shift(self.ran(t_ns), round(event.shift_s * NS))
            case ev.TimecodeTold() if event.what in ("stands", "asks"):
                track.stand(self.ran(t_ns))
        track.end_ns = max(track.end_ns, self.ran(t_ns))
        if isinstance(event, ev.ItemEnded):
            track.ended = True
            self.item = None


def clock_tracks(records: Iterable[Record]) -> dict[str, ClockTrack]:
    """Item id → its clock over its last visit."""
    sweep = _Sweep({})
    for record in records:
        for event in record.events:
            sweep.take(record.t_ns, event)
        if sweep.item is not None:
            track = sweep.tracks[sweep.item]
            track.end_ns = max(track.end_ns, sweep.ran(record.t_ns))
    return sweep.tracks


def section_table(plan: Plan, records: Iterable[Record]) -> tuple[SectionRow, ...]:
    """A row for every named section of every song, in running order."""
    tracks = clock_tracks(records)
    rows: list[SectionRow] = []
    for planned in plan.items:
        bounds = section_bounds(planned)
        track = tracks.get(planned.item.id)
        for (name, start_s), (after, end_s) in pairwise(bounds):
            planned_s = float(end_s - start_s)
            # The last one ends with the item, whenever that was.
            until_s = None if after == "" else end_s
            actual_s = None if track is None else _between(track, start_s, until_s)
            over_s = None if actual_s is None else round(actual_s - planned_s, 9)
            rows.append(
                SectionRow(
                    planned.item.id, planned.item.name, name, float(start_s), planned_s, actual_s, over_s
                )
            )
    return tuple(rows)


def section_bounds(planned: PlannedItem) -> list[tuple[str, Fraction]]:
    """(name, seconds into the item) of every section, and the item's end last; none without sections."""
    spans = section_spans(planned)
    return [*((s.name, s.start_s) for s in spans), *((("", spans[-1].end_s),) if spans else ())]


def _between(track: ClockTrack, start_s: Fraction, end_s: Fraction | None) -> float | None:
    begun = track.passed(round(start_s * NS))
    whole = track.end_ns if track.ended else None
    ended = whole if end_s is None else track.passed(round(end_s * NS))
    if begun is None or ended is None:
        return None
    return (ended - begun) / NS
