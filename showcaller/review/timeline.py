"""A run's records as stretches of time, each with an owner: an item, a hold, or nobody.

All instants are on the run's own clock, in ns; wall-clock time is only noted where the show began.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from showcaller.model.base import ById
from showcaller.review.errors import ReviewError
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct

NS = 1_000_000_000


@dataclass(slots=True)
class Visit:
    """An item being on, once. ``at_ns`` is where its clock began: 0 unless it was picked up midway.

    ``ran_ns`` and ``held_ns`` are the lengths of its time without and within holds. ``left`` says that a jump
    led away from it before its end, so that its length says nothing of the next one.
    """

    item: str
    start_ns: int
    at_ns: int
    ran_ns: int = 0
    held_ns: int = 0
    ended: bool = False
    left: bool = False

    @property
    def clock_ns(self) -> int:
        """What its clock showed last."""
        return self.at_ns + self.ran_ns


@dataclass(slots=True)
class Hold:
    """A stop, with the reason given and the item that was on, if any."""

    reason: str
    item: str | None
    start_ns: int
    ns: int = 0


class Timeline(Struct, frozen=True):
    """A run from its first item's start to its end: every ns is a visit's, a hold's or the gaps'.

    ``gap_ns`` is time between items; ``skipped`` the items left out by word.
    """

    begun_ns: int
    begun_wall_ns: int
    end_ns: int
    finished: bool
    visits: tuple[Visit, ...]
    holds: tuple[Hold, ...]
    gap_ns: int
    skipped: frozenset[str]
    unplanned: tuple[tuple[str, int], ...] = ()
    by_last_note: bool = False


@dataclass(slots=True)
class _Span:
    ns: int
    visit: Visit | None
    hold: Hold | None
    unplanned: str | None = None


@dataclass(slots=True)
class _Go:
    """A go that could be taken back: where it left the log, and which visit was on before it."""

    began: bool
    span: int
    before: Visit | None


_COUNTS = frozenset(
    cls.kind
    for cls in (
        ev.ItemStarted, ev.ItemEnded, ev.ItemSkipped, ev.Held, ev.UnplannedStarted, ev.UnplannedEnded,
        ev.HoldReason, ev.Resumed, ev.Jumped, ev.TakenBack, ev.RunEnded,
    )
)  # fmt: skip
"""Kinds that begin or end a stretch: one event in ten."""


def _leaves(item: str, events: Sequence[ev.Event]) -> bool:
    """Whether a jump ends an item that is on, or leads on from it with some of its gos left out."""
    away = any(isinstance(e, ev.Jumped) and e.to_item != item for e in events)
    return any(
        (isinstance(e, ev.ItemEnded) and e.item == item)
        or (away and isinstance(e, ev.Skipped) and e.item == item)
        for e in events
    )


@dataclass(slots=True)
class _Sweep:
    cursor_ns: int | None = None
    begun: Record | None = None
    visit: Visit | None = None
    hold: Hold | None = None
    over: bool = False
    last_note_ns: int | None = None
    visits: list[Visit] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    spans: list[_Span] = field(default_factory=list)
    gos: list[_Go] = field(default_factory=list)
    skipped: set[str] = field(default_factory=set)
    unplanned: str | None = None
    extras: dict[str, int] = field(default_factory=dict)

    def advance(self, t_ns: int) -> None:
        """Give the time since the last record to its owner."""
        if self.cursor_ns is not None and not self.over:
            self.spans.append(_Span(t_ns - self.cursor_ns, self.visit, self.hold, self.unplanned))
            self.cursor_ns = t_ns

    def take(self, record: Record) -> None:
        last_ns = self.last_note_ns
        if last_ns is not None and record.t_ns >= last_ns and not self.over:
            self.advance(last_ns)
            self.over = True
        self.advance(record.t_ns)
        events = record.events
        jumped = began = gone = repeated = False
        for event in events:
            jumped = jumped or event.kind == ev.Jumped.kind
            repeated = repeated or event.kind == ev.FormTurned.kind
            began = began or event.kind == ev.ItemStarted.kind
            gone = gone or (isinstance(event, ev.Fired) and event.by == "go")
        before = self.visit
        if jumped and before is not None:
            before.left = before.left or _leaves(before.item, events)
        for event in events:
            if event.kind in _COUNTS:
                # Goes of a section that is repeated come again; they stood all the same.
                self.event(record, event, jumped or repeated)
        if began or gone:
            self.gos.append(_Go(began, len(self.spans), before))

    def event(self, record: Record, event: ev.Event, stood: bool) -> None:
        match event:
            case ev.ItemStarted():
                self.visit = Visit(event.item, record.t_ns, round(event.at_s * NS))
                self.visits.append(self.visit)
                if self.begun is None:
                    self.begun, self.cursor_ns = record, record.t_ns
            case ev.ItemEnded():
                if self.visit is not None:
                    self.visit.ended = True
                self.visit = None
            case ev.ItemSkipped():
                self.skipped.add(event.item)
            case ev.Held():
                item = self.visit.item if self.visit is not None else None
                self.hold = Hold(event.reason, item, record.t_ns)
                self.holds.append(self.hold)
            case ev.UnplannedStarted():
                self.unplanned = event.name
                self.extras.setdefault(event.name, 0)
            case ev.UnplannedEnded():
                self.unplanned = None
            case ev.HoldReason():
                if self.hold is not None:
                    self.hold.reason = event.reason
            case ev.Resumed():
                self.hold = None
            case ev.Jumped():
                self.gos.clear()  # a go before a jump can no longer be taken back
            case ev.TakenBack() if not stood:
                self.take_back()
            case ev.RunEnded():
                self.over = True

    def take_back(self) -> None:
        """The last go never was. If it began an item, its time is the time of what goes on instead."""
        if not self.gos:
            return
        go = self.gos.pop()
        if not go.began:
            return
        wrong = self.visit
        for span in self.spans[go.span :]:
            if span.visit is wrong:
                span.visit = go.before
                if span.hold is not None:
                    span.hold.item = None if go.before is None else go.before.item
        self.visits = [v for v in self.visits if v is not wrong]
        self.visit = go.before
        if go.before is not None:
            go.before.ended = False


def last_note_ns(records: Iterable[Record]) -> int | None:
    """When the last note was: as it was marked last, unless an item began after it. None if it was not."""
    found: int | None = None
    for record in records:
        for event in record.events:
            if isinstance(event, ev.MomentMarked) and event.what == "last note":
                found = None if event.undone else record.t_ns
            elif isinstance(event, ev.ItemStarted | ev.UnplannedStarted):
                found = None
    return found


def make_timeline(records: Iterable[Record]) -> Timeline:
    """The stretches of a run.

    Raises:
        ReviewError: no item was ever started.
    """
    records = records if isinstance(records, Sequence) else list(records)
    sweep = _Sweep(last_note_ns=last_note_ns(records))
    for record in records:
        sweep.take(record)
    if sweep.begun is None or sweep.cursor_ns is None or not sweep.visits:
        raise ReviewError("no item was ever started, so there is nothing to review; choose another show")
    gap_ns = 0
    for span in sweep.spans:
        if span.hold is not None:
            span.hold.ns += span.ns
            if span.visit is not None:
                span.visit.held_ns += span.ns
        elif span.visit is not None:
            span.visit.ran_ns += span.ns
        elif span.unplanned is not None:
            sweep.extras[span.unplanned] += span.ns
        else:
            gap_ns += span.ns
    return Timeline(
        begun_ns=sweep.begun.t_ns,
        begun_wall_ns=sweep.begun.wall_ns,
        end_ns=sweep.cursor_ns,
        finished=sweep.over,
        visits=tuple(sweep.visits),
        holds=tuple(h for h in sweep.holds if h.ns),
        gap_ns=gap_ns,
        unplanned=tuple(sweep.extras.items()),
        skipped=frozenset(sweep.skipped),
        by_last_note=sweep.last_note_ns is not None,
    )


def timeline_of(plan: Plan, records: Iterable[Record]) -> Timeline:
    """The stretches of a run of this plan.

    Raises:
        ReviewError: no item was started, or one that the plan does not have.
    """
    timeline = _remembered(ById(records)) if isinstance(records, tuple) else make_timeline(records)
    known = {planned.item.id for planned in plan.items}
    for visit in timeline.visits:
        if visit.item not in known:
            raise ReviewError(
                f"it has an item '{visit.item}' that this edition does not; review it with the edition "
                "it was called from"
            )
    return timeline


@lru_cache(maxsize=4)
def _remembered(records: ById) -> Timeline:
    """The timeline of a run's whole log, which a review asks for again and again."""
    return make_timeline(records.part)
