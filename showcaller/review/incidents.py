"""Injuries, near misses and damage of a tour, first; how long crews took beside them, never as a ranking."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from typing import Literal, cast

from showcaller.archive.values import Remark, Run, StoredEvent
from showcaller.review.day import DayRow, day_of
from showcaller.run.events import NoteTaken
from showcaller.run.runlog import INCIDENTS, NOT_CLEAR

IncidentKind = Literal["injury", "near miss", "damage", "not clear"]
CREW_WORK = ("get-in", "build", "changeover", "get-out")
"""What crews are timed at, and may be hurried at."""


@dataclass(frozen=True, slots=True)
class Incident:
    """One, of a run: its kind, when it was (run clock ns; None if not known), in words, and by whom."""

    run: int
    kind: IncidentKind
    t_ns: int | None
    words: str
    by: str


@dataclass(frozen=True, slots=True)
class WorkDay:
    """A day of crew work: incidents of that day, then what took how long (seconds), planned and actual.

    ``work`` is (name, planned s, actual s), each None where it is not known.
    """

    day: str
    incidents: tuple[Incident, ...]
    work: tuple[tuple[str, float | None, float | None], ...]


def incidents(
    notes: Iterable[tuple[Run, Sequence[StoredEvent]]], remarks: Mapping[int, Sequence[Remark]]
) -> tuple[Incident, ...]:
    """All of a tour, in the order of runs and, within one, of its clock.

    Args:
        notes: every run with its ``note`` events.
        remarks: run number → what was written afterwards.
    """
    found = [
        Incident(
            run.number, _kind(note.about), e.t_ns - round((note.ago_s or 0) * 1e9), note.text, run.caller
        )
        for run, events in notes
        for e in events
        if isinstance(note := e.fact, NoteTaken) and note.about
    ]
    found += [
        Incident(number, _kind(r.kind), r.t_ns, r.text, r.by)
        for number, mine in remarks.items()
        for r in mine
        if r.kind in INCIDENTS
    ]
    return tuple(sorted(found, key=lambda i: (i.run, i.t_ns or 0)))


def work_days(
    days: Iterable[tuple[str, Sequence[DayRow]]],
    found: Iterable[Incident],
    runs: Iterable[Run],
    zone: tzinfo,
) -> tuple[WorkDay, ...]:
    """Days in the order of the calendar: sorting them by speed would make a race of crew work."""
    on_day = {run.number: day_of(run.started_wall_ns, zone) for run in runs}
    mine: dict[str, list[Incident]] = {}
    for incident in found:
        mine.setdefault(on_day.get(incident.run, ""), []).append(incident)
    rows = {
        day: tuple(
            (row.name, _planned_s(row), row.took_s)
            for row in table
            if row.kind in CREW_WORK and (row.took_s is not None or row.planned_end_ns is not None)
        )
        for day, table in days
    }
    return tuple(
        WorkDay(day, tuple(mine.get(day, ())), rows.get(day, ())) for day in sorted({*rows, *mine} - {""})
    )


def counts(found: Iterable[Incident]) -> dict[str, int]:
    """How many of each kind; a kind without any is there with 0, for none is worth saying."""
    whole = list(found)
    number = {kind: sum(i.kind == kind for i in whole) for kind in INCIDENTS}
    open_legs = sum(i.kind == NOT_CLEAR for i in whole)
    return {**number, NOT_CLEAR: open_legs} if open_legs else dict(number)


def count_words(found: Iterable[Incident]) -> str:
    """``1 injury, 0 near misses, 2 damage``; that there were none is said as well."""
    number = counts(found)
    injury = "injury" if number["injury"] == 1 else "injuries"
    near = "near miss" if number["near miss"] == 1 else "near misses"
    words = f"{number['injury']} {injury}, {number['near miss']} {near}, {number['damage']} damage"
    open_legs = number.get(NOT_CLEAR, 0)
    return words + (f", {open_legs} walked without clearance" if open_legs else "")


def _planned_s(row: DayRow) -> float | None:
    return None if row.planned_end_ns is None else (row.planned_end_ns - row.planned_start_ns) / 1e9


def _kind(text: str) -> IncidentKind:
    return cast("IncidentKind", text)
