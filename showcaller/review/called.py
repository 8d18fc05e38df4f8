"""How each item, and each section of a song, was called: early or late, with its standbys or without."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from statistics import median, stdev

from showcaller.review.counting import taken_back_gos
from showcaller.review.standbys import go_leads
from showcaller.review.tables import CueRow, cue_table
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, PlannedItem
from showcaller.timing.sections import section_spans
from showcaller.values import Struct


class CalledRow(Struct, frozen=True):
    """An item, or one ``section`` of it (empty: all of it), as it was called. Seconds; late is positive.

    ``goes`` counts those that stood, first goes and those by eye among them; ``error_s`` and ``spread_s``
    (standard deviation) are of those with an instant of their own, None where there is none (fewer than
    two). ``standbys`` counts goes that want one: ``unsaid`` went without, ``hurried`` too soon after it;
    ``lead_s`` is the middle of what lay between, beyond the least (negative: short of it). ``before_s`` is
    the middle error of the ``nights`` before.
    """

    item: str
    item_name: str
    section: str
    goes: int
    error_s: float | None
    spread_s: float | None
    standbys: int
    unsaid: int
    hurried: int
    lead_s: float | None
    before_s: float | None
    nights: int


@dataclass(slots=True)
class _Found:
    goes: int = 0
    errors: list[float] = field(default_factory=list)
    leads: list[float] = field(default_factory=list)
    standbys: int = 0
    unsaid: int = 0
    hurried: int = 0
    nights: list[float] = field(default_factory=list)


def called_table(
    plan: Plan, records: Sequence[Record], before: Iterable[Sequence[CueRow]] = ()
) -> tuple[CalledRow, ...]:
    """A row for each item with a go that stood, its sections below it where more than one had goes.

    Args:
        plan: of the run.
        records: the whole log of the run.
        before: what fired in the nights before this one, a table each.

    Raises:
        ReviewError: no item was started, or the run was of another edition.
    """
    places = _Places(plan)
    found: dict[tuple[str, str], _Found] = {}
    for rows in _goes(cue_table(plan, records)):
        for place in places.of(rows[0]):
            mine = found.setdefault(place, _Found())
            mine.goes += 1
            mine.errors += _error(rows)
    undone = taken_back_gos(records)
    for lead in go_leads(plan, [r for r in records if r.seq not in undone]):
        for place in places.of_cue(lead.cues[0]):
            mine = found.setdefault(place, _Found())
            mine.standbys += 1
            mine.unsaid += lead.lead_s is None
            mine.hurried += lead.hurried
            if lead.lead_s is not None:
                mine.leads.append(lead.lead_s - lead.least_s)
    for night in before:
        errors: dict[tuple[str, str], list[float]] = {}
        for rows in _goes(night):
            for place in places.of(rows[0]):
                errors.setdefault(place, []).extend(_error(rows))
        for place, mine_then in errors.items():
            if mine_then and place in found:
                found[place].nights.append(median(mine_then))
    return tuple(places.rows(found))


def _goes(table: Iterable[CueRow]) -> Iterator[list[CueRow]]:
    """The rows of each go that stood: cues of one item that fired together."""
    together: dict[tuple[str, float | None, float | None], list[CueRow]] = {}
    for row in table:
        if row.status == "go" and row.stood:
            together.setdefault((row.item, row.t_s, row.actual_s), []).append(row)
    yield from together.values()


def _error(rows: Sequence[CueRow]) -> list[float]:
    late = [row.late_s for row in rows if row.firm and row.late_s is not None]
    return [median(late)] if late else []


class _Places:
    """Which (item, section) a cue belongs to, and how these are called."""

    def __init__(self, plan: Plan) -> None:
        self._items = {planned.item.id: planned for planned in plan.items}
        self._at = {cue.cue.id: (p.item.id, float(cue.at_s)) for p in plan.items for cue in p.cues}

    def of(self, row: CueRow) -> tuple[tuple[str, str], ...]:
        return self.of_cue(row.cue)

    def of_cue(self, cue: str) -> tuple[tuple[str, str], ...]:
        if cue not in self._at:
            return ()
        item, at_s = self._at[cue]
        sections = [name for name, start_s, end_s in _sections(self._items[item]) if start_s <= at_s < end_s]
        return ((item, ""), *((item, name) for name in sections[:1]))

    def rows(self, found: dict[tuple[str, str], _Found]) -> Iterator[CalledRow]:
        for item, planned in self._items.items():
            sections = [name for name, _, _ in _sections(planned) if (item, name) in found]
            for section in ("", *(sections if len(sections) > 1 else ())):
                mine = found.get((item, section))
                if mine is not None:
                    yield _row(planned, section, mine)


def _sections(planned: PlannedItem) -> list[tuple[str, float, float]]:
    """A song's sections; one that comes again has its count: ``Chorus 2``."""
    times: dict[str, int] = {}
    found = []
    for span in section_spans(planned):
        times[span.name] = times.get(span.name, 0) + 1
        name = span.name if times[span.name] == 1 else f"{span.name} {times[span.name]}"
        found.append((name, float(span.start_s), float(span.end_s)))
    return found


def _row(planned: PlannedItem, section: str, mine: _Found) -> CalledRow:
    return CalledRow(
        item=planned.item.id,
        item_name=planned.item.name,
        section=section,
        goes=mine.goes,
        error_s=median(mine.errors) if mine.errors else None,
        spread_s=stdev(mine.errors) if len(mine.errors) > 1 else None,
        standbys=mine.standbys,
        unsaid=mine.unsaid,
        hurried=mine.hurried,
        lead_s=median(mine.leads) if mine.leads else None,
        before_s=median(mine.nights) if mine.nights else None,
        nights=len(mine.nights),
    )
