"""Item by item and cue by cue: planned, actual, and what became of it."""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Literal

from showcaller.review.counting import taken_back_gos
from showcaller.review.timeline import NS, Visit, timeline_of
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.reported import DesksTold
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, PlannedCue
from showcaller.values import Struct, replace

ItemStatus = Literal["played", "not finished", "cut", "not reached"]
CueStatus = Literal[
    "go", "automatic", "by hand", "at its desk", "refused", "skipped", "missed", "taken back", "not reached"
]
Seen = Literal["", "seen", "late", "not seen"]
_FIRED_BY: Mapping[str, CueStatus] = {"go": "go", "itself": "automatic", "hand": "by hand"}


class ItemRow(Struct, frozen=True):
    """An item of the running order. Seconds; ``actual_s`` and ``over_s`` leave holds out.

    ``start_s`` is from the show's start, None if it was never on; ``visits`` how often it was on.
    """

    item: str
    name: str
    kind: str
    status: ItemStatus
    planned_s: float
    actual_s: float | None
    over_s: float | None
    held_s: float
    planned_start_s: float
    start_s: float | None
    visits: int


class CueRow(Struct, frozen=True):
    """One thing that happened to a cue; a cue that was refused and then fired has two rows.

    ``planned_s`` and ``actual_s`` are seconds into the item. ``late_s`` (early if negative) is against the
    plan, or for a follow-on against what it follows; None for a go that began its item, since its clock began
    with it. ``firm`` is False where the plan's instant is a guess.
    ``t_s`` is from the show's start, None for what never happened or happened before it. ``stood`` is False
    for a cue of a go that was taken back. ``done_s`` is from its go to its desk's word of it (negative: the
    desk was before the go); ``seen`` is empty where no desk tells of it. *At its desk*: it fired there,
    without a go.
    """

    cue: str
    item: str
    department: str
    number: Decimal
    label: str
    status: CueStatus
    planned_s: float
    actual_s: float | None
    late_s: float | None
    firm: bool
    why: str
    t_s: float | None
    stood: bool = True
    done_s: float | None = None
    seen: Seen = ""


def item_table(plan: Plan, records: Iterable[Record]) -> tuple[ItemRow, ...]:
    """A row for every item, in running order.

    Raises:
        ReviewError: no item was started, or the run was of another edition.
    """
    timeline = timeline_of(plan, records)
    visits: dict[str, list[Visit]] = {}
    for visit in timeline.visits:
        visits.setdefault(visit.item, []).append(visit)
    last = max(i for i, planned in enumerate(plan.items) if planned.item.id in visits)
    rows = []
    for i, planned in enumerate(plan.items):
        item = planned.item
        mine = visits.get(item.id, [])
        planned_ns = round(item.length_s * NS)
        if mine:
            status: ItemStatus = "played" if mine[-1].ended else "not finished"
        else:
            status = "cut" if i <= last or item.id in timeline.skipped else "not reached"
        actual_ns = sum(v.ran_ns for v in mine)
        rows.append(
            ItemRow(
                item=item.id,
                name=item.name,
                kind=item.kind,
                status=status,
                planned_s=planned_ns / NS,
                actual_s=actual_ns / NS if mine else None,
                over_s=(actual_ns - planned_ns) / NS if mine else None,
                held_s=sum(v.held_ns for v in mine) / NS,
                planned_start_s=float(plan.starts_s[i]),
                start_s=(mine[0].start_ns - timeline.begun_ns) / NS if mine else None,
                visits=len(mine),
            )
        )
    return tuple(rows)


def cue_table(plan: Plan, records: Iterable[Record]) -> tuple[CueRow, ...]:
    """Everything that happened to cues, in order, then the cues to which nothing happened.

    Raises:
        ReviewError: no item was started, or the run was of another edition.
    """
    records = records if isinstance(records, tuple) else tuple(records)
    timeline_of(plan, records)
    table = _CueTable(plan, taken_back_gos(records))
    told = DesksTold()
    for record in records:
        told.take(plan, record)
        for event in record.events:
            table.event(record, event)
    return _with_desks(plan, table, told)


def _with_desks(plan: Plan, table: "_CueTable", told: DesksTold) -> tuple[CueRow, ...]:
    """The table with what the departments' desks told of its cues, and what came there without a go."""
    if not told.told:
        return table.finished()
    given = {(t.cue, t.given_ns): t for t in told.told if t.given_ns is not None}
    for n, (row, t_ns) in enumerate(zip(table.rows, table.at_ns, strict=True)):
        one = given.get((row.cue, t_ns)) if row.actual_s is not None else None
        found = told.of(plan, row.cue)
        if one is not None and found is not None and (one.awaited or one.done_ns is not None):
            late = one.took_s is not None and one.took_s > float(found[0].seen_within_s)
            seen: Seen = "not seen" if one.done_ns is None else "late" if late else "seen"
            table.rows[n] = replace(row, done_s=one.took_s, seen=seen)
    for one in told.told:
        if one.given_ns is None and one.done_ns is not None:
            table.at_its_desk(one.cue, one.done_ns)
    return table.finished()


def fired_rows(plan: Plan, fired: Iterable[ev.Fired]) -> tuple[CueRow, ...]:
    """The rows of :func:`cue_table` of the cues that fired, without their time of the run."""
    table = _CueTable(plan)
    for event in fired:
        table.fired(None, event)
    return tuple(table.rows)


class _CueTable:
    def __init__(self, plan: Plan, undone: frozenset[int] = frozenset()) -> None:
        self._undone = undone
        self._names = {d.id: d.name for d in plan.show.departments}
        self._reacts_s = {d.id: float(d.reaction_s) for d in plan.show.departments}
        self._cues: dict[str, tuple[str, PlannedCue, Sequence[PlannedCue]]] = {
            planned.cue.id: (item.item.id, planned, item.cues) for item in plan.items for planned in item.cues
        }
        self._gos = {go.id: [item.cues[k].cue.id for k in go.cues] for item in plan.items for go in item.goes}
        self._starts = {
            p.cues[k].cue.id for p in plan.items for go in p.goes if go.starts_item for k in go.cues
        }
        self._actual_s: dict[str, float] = {}
        self.rows: list[CueRow] = []
        self.at_ns: list[int] = []
        """The instant of each row on the run's clock."""
        self._begun_ns: int | None = None

    def event(self, record: Record, event: ev.Event) -> None:
        match event:
            case ev.ItemStarted():
                self._begun_ns = record.t_ns if self._begun_ns is None else self._begun_ns
            case ev.Fired():
                self.fired(record, event)
            case ev.Skipped() | ev.Missed():
                self._add(record, event.cue, event.kind, None, event.why)
            case ev.TakenBack() if not any(isinstance(e, ev.FormTurned) for e in record.events):
                for cue in event.cues:
                    self._add(record, cue, "taken back", None)
            case ev.CommandRefused() if isinstance(record.input, c.Go):
                for cue in self._gos.get(record.input.go, ()):
                    self._add(record, cue, "refused", None, event.why)

    def fired(self, record: Record | None, event: ev.Fired) -> None:
        self._actual_s[event.cue] = event.actual_s
        self._add(record, event.cue, _FIRED_BY[event.by], event.actual_s)

    def at_its_desk(self, cue: str, t_ns: int) -> None:
        """It fired there, without a go."""
        self._add(None, cue, "at its desk", None)
        row = replace(self.rows.pop(), t_s=None if self._begun_ns is None else (t_ns - self._begun_ns) / NS)
        self.at_ns.pop()
        at = bisect_left(self.at_ns, t_ns)
        self.rows.insert(at, row)
        self.at_ns.insert(at, t_ns)

    def _add(
        self, record: Record | None, cue: str, status: CueStatus, actual_s: float | None, why: str = ""
    ) -> None:
        if cue not in self._cues:
            return
        item, planned, siblings = self._cues[cue]
        begins = status == "go" and (
            cue in self._starts
            if record is None
            else any(isinstance(e, ev.ItemStarted) and e.item == item for e in record.events)
        )
        t_s = None
        if record is not None and self._begun_ns is not None:
            t_s = (record.t_ns - self._begun_ns) / NS
        self.at_ns.append(0 if record is None else record.t_ns)
        self.rows.append(
            CueRow(
                cue=cue,
                item=item,
                department=self._names[planned.cue.department],
                number=planned.cue.number,
                label=planned.cue.label,
                status=status,
                planned_s=float(planned.at_s),
                actual_s=actual_s,
                late_s=None if actual_s is None or begins else self._late_s(planned, siblings, actual_s),
                firm=planned.firm,
                why=why,
                t_s=t_s,
                stood=record is None or record.seq not in self._undone,
            )
        )

    def _late_s(self, planned: PlannedCue, siblings: Sequence[PlannedCue], actual_s: float) -> float:
        due_s = float(planned.at_s)
        if planned.follows is not None:
            followed = siblings[planned.follows]
            if followed.cue.id in self._actual_s:
                due_s = self._actual_s[followed.cue.id] + float(planned.at_s - followed.at_s)
        # What counts is when it happens: a go is followed by the department's reaction.
        reacts_s = 0.0 if planned.automatic else self._reacts_s[planned.cue.department]
        return round(actual_s + reacts_s - due_s, 9)  # to the ns the engine counts in

    def finished(self) -> tuple[CueRow, ...]:
        seen = {row.cue for row in self.rows}
        for cue in self._cues:
            if cue not in seen:
                self._add(None, cue, "not reached", None)
        return tuple(self.rows)
