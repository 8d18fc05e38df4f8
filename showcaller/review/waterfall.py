"""Where the time went: from the planned end to the actual end, every nanosecond with an owner.

Parts are whole nanoseconds and add up to the total exactly; nothing is left over and nothing counted twice.
"""

from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise
from typing import Literal

from showcaller.review.timeline import NS, Timeline, Visit, timeline_of
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct

PartKind = Literal["late start", "item", "place moved", "hold", "cut", "not reached", "gap", "unplanned"]

GROUPS = {
    "song": "songs",
    "talk": "talks",
    "walk-on": "walk-ons",
    "changeover": "changeovers",
    "interval": "intervals",
}
"""What items of a kind are called together."""


class Part(Struct, frozen=True):
    """One owner of some time. Positive ``ns`` is time lost, negative time won.

    ``group`` is the bar it belongs to; ``item`` the item's id where there is one, ``name`` what to show.
    """

    kind: PartKind
    group: str
    name: str
    ns: int
    item: str | None = None
    item_kind: str | None = None


class Bar(Struct, frozen=True):
    """Parts of one group added up."""

    label: str
    ns: int
    parts: tuple[Part, ...]


class Waterfall(Struct, frozen=True):
    """All parts, in the order of the show, and both ends in Unix time (ns).

    The actual end is counted on the run's own clock from where the show began, so that a wall clock that was
    set in the middle changes nothing. ``finished`` is False for a run that was cut off;
    ``by_last_note`` says that the end is the last note as it was marked, else it is when the run was ended.
    """

    planned_start_wall_ns: int | None
    start_wall_ns: int
    planned_length_ns: int
    actual_length_ns: int
    parts: tuple[Part, ...]
    finished: bool
    by_last_note: bool = False

    @property
    def total_ns(self) -> int:
        """Actual end less planned end: what the parts add up to."""
        return sum(part.ns for part in self.parts)

    @property
    def planned_end_wall_ns(self) -> int:
        """When it should have ended. Without a planned start, counted from the actual one."""
        start = self.start_wall_ns if self.planned_start_wall_ns is None else self.planned_start_wall_ns
        return start + self.planned_length_ns

    @property
    def end_wall_ns(self) -> int:
        """When it ended."""
        return self.start_wall_ns + self.actual_length_ns

    def bars(self) -> tuple[Bar, ...]:
        """The parts grouped: late start, items by kind, holds by reason, and the rest; none that is zero."""
        groups: dict[str, list[Part]] = defaultdict(list)
        for part in self.parts:
            groups[part.group].append(part)
        order = ["late start", *GROUPS.values()]
        labels = [g for g in order if g in groups] + [g for g in groups if g not in order]
        bars = [Bar(g, sum(p.ns for p in groups[g]), tuple(groups[g])) for g in labels]
        return tuple(bar for bar in bars if bar.ns or any(p.ns for p in bar.parts))


def waterfall(
    plan: Plan, records: Iterable[Record], *, planned_start_wall_ns: int | None = None
) -> Waterfall:
    """Where the time of a run went.

    Args:
        plan: the edition the run was of.
        records: the run's records, all of them.
        planned_start_wall_ns: when the show should have started, Unix time in ns (see
            :func:`planned_start_wall_ns`); None for a rehearsal, which starts when it starts.

    Raises:
        ReviewError: no item was started, or the run was of another edition.
    """
    timeline = timeline_of(plan, records)
    parts: list[Part] = []
    if planned_start_wall_ns is not None:
        late_ns = timeline.begun_wall_ns - planned_start_wall_ns
        parts.append(Part("late start", "late start", "late start", late_ns))
    planned_ns = _planned_ns(plan)
    visits: dict[str, list[Visit]] = defaultdict(list)
    for visit in timeline.visits:
        visits[visit.item].append(visit)
    last = max(i for i, planned in enumerate(plan.items) if planned.item.id in visits)
    for i, planned in enumerate(plan.items):
        item = planned.item
        group = GROUPS[item.kind]
        mine = visits.get(item.id, [])
        if mine:
            over = mine[-1].clock_ns - planned_ns[i]
            parts.append(Part("item", group, item.name, over, item.id, item.kind))
            # What was jumped over, or played again: real time less what the item's clock says.
            moved = sum(v.ran_ns for v in mine) - mine[-1].clock_ns
            if moved:
                parts.append(Part("place moved", "place moved", item.name, moved, item.id, item.kind))
        elif i > last and item.id not in timeline.skipped:
            parts.append(Part("not reached", "not reached", item.name, -planned_ns[i], item.id, item.kind))
        else:
            parts.append(Part("cut", "cuts", item.name, -planned_ns[i], item.id, item.kind))
    parts += _holds_and_gaps(timeline)
    return Waterfall(
        planned_start_wall_ns,
        timeline.begun_wall_ns,
        sum(planned_ns),
        timeline.end_ns - timeline.begun_ns,
        tuple(parts),
        timeline.finished,
        timeline.by_last_note,
    )


def _planned_ns(plan: Plan) -> list[int]:
    """Each item's planned length, rounded so that they add up to the rounded whole."""
    starts = [round(start * NS) for start in (*plan.starts_s, plan.length_s)]
    return [after - before for before, after in pairwise(starts)]


def _holds_and_gaps(timeline: Timeline) -> list[Part]:
    parts = []
    for hold in timeline.holds:
        name = f"hold: {hold.reason}" if hold.reason else "hold"
        parts.append(Part("hold", name, name, hold.ns, hold.item))
    for extra, ns in timeline.unplanned:
        parts.append(Part("unplanned", "unplanned", extra, ns))
    if timeline.gap_ns:
        parts.append(Part("gap", "between items", "between items", timeline.gap_ns))
    return parts
