"""Injuries, near misses and damage of a tour, first; how long crews took beside them, never as a ranking."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal, cast

from showcaller.archive.values import Remark, Run, StoredEvent
from showcaller.review.day import DayRow
from showcaller.run import events as ev
from showcaller.run.incidents import BY_MISTAKE, FORM, with_words
from showcaller.run.runlog import INCIDENTS, NOT_CLEAR
from showcaller.values import Struct, field, replace

STOPPED: Literal["stopped"] = "stopped"
"""The kind of a leg that was asked for and was not clear: they waited, and nothing went wrong."""
UNSAID: Literal["not said"] = "not said"
"""The kind of one of which nobody has said what it was."""
IncidentKind = Literal["injury", "near miss", "damage", "not clear", "stopped", "not said"]
KINDS: tuple[str, ...] = (
    ev.NoteTaken.kind,
    ev.IncidentOpened.kind,
    ev.IncidentWritten.kind,
    ev.WalkStopped.kind,
)
"""Kinds of the events that tell of them."""
CREW_WORK = ("get-in", "build", "changeover", "get-out")
"""What crews are timed at, and may be hurried at."""


class Incident(Struct, frozen=True):
    """One, of a run: its kind, when it was (run clock ns; None if not known), in words, and by whom.

    ``form`` has what is written of it (:data:`showcaller.run.incidents.FORM`).
    """

    run: int
    kind: IncidentKind
    t_ns: int | None
    words: str
    by: str
    form: Mapping[str, str] = field(default_factory=dict)


class WorkDay(Struct, frozen=True):
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
        notes: every run with its events of :data:`KINDS`.
        remarks: run number → what was written afterwards.
    """
    found = [one for run, events in notes for one in _of_run(run, events)]
    found += [
        Incident(number, _kind(r.kind), r.t_ns, r.text, r.by)
        for number, mine in remarks.items()
        for r in mine
        if r.kind in INCIDENTS
    ]
    said_since = {(i.run, i.t_ns) for i in found if i.kind in INCIDENTS}
    found = [i for i in found if i.kind != UNSAID or (i.run, i.t_ns) not in said_since]
    later: dict[tuple[int, int], dict[str, str]] = {}
    for number, mine in remarks.items():
        for r in mine:
            if r.kind == "form" and (told := form_field(r.text)) is not None:
                later.setdefault((number, r.t_ns), {}).update([told])
    found = [
        replace(one, form={**one.form, **later.get((one.run, one.t_ns or 0), {})}) if later else one
        for one in found
    ]
    return tuple(sorted(found, key=lambda i: (i.run, i.t_ns or 0)))


def form_field(text: str) -> tuple[str, str] | None:
    """A field of an incident's form typed as ``first aid: bandaged``, and its words; None if none."""
    head, colon, words = text.partition(":")
    field = head.strip().lower().replace("-", "_").replace(" ", "_")
    return (field, words.strip()) if colon and field in FORM and words.strip() else None


def has_form(incident: Incident) -> bool:
    """Whether it is of a kind that a form is filled in for."""
    return incident.kind not in (STOPPED, NOT_CLEAR)


def form_words(incident: Incident, readers: Sequence[str] = ()) -> str:
    """What is filled in of a form: its words, or where the show names who reads them only how much."""
    filled = [name for name in FORM if incident.form.get(name)]
    if readers:
        return f"form {len(filled)} of {len(FORM)}, for {', '.join(readers)}"
    return "; ".join(f"{name.replace('_', ' ')}: {incident.form[name]}" for name in filled)


def told_of(
    found: Iterable[Sequence[tuple[Run, Sequence[StoredEvent]]]],
) -> list[tuple[Run, list[StoredEvent]]]:
    """Every run once, with all its events of several kinds in the order of its log."""
    whole: dict[int, tuple[Run, list[StoredEvent]]] = {}
    for runs in found:
        for run, events in runs:
            whole.setdefault(run.number, (run, []))[1].extend(events)
    for _, events in whole.values():
        events.sort(key=lambda e: (e.seq, e.ordinal))
    return [whole[number] for number in sorted(whole)]


def _of_run(run: Run, events: Iterable[StoredEvent]) -> list[Incident]:
    """Those of one run, its events in the order of its log."""
    found: list[Incident] = []
    opened: dict[str, tuple[int, str, dict[str, str]]] = {}
    stopped: set[tuple[str, str]] = set()
    for e in events:
        match e.fact:
            case ev.NoteTaken() as note if note.about:
                t_ns = e.t_ns - round((note.ago_s or 0) * 1e9)
                found.append(Incident(run.number, _kind(note.about), t_ns, note.text, run.caller))
            case ev.IncidentOpened() as fact:
                opened[fact.incident] = (e.t_ns, fact.by or run.caller, {})
            case ev.IncidentWritten() as fact:
                t_ns, by, fields = opened.get(fact.incident, (e.t_ns, fact.by, {}))
                opened[fact.incident] = (t_ns, by, with_words(fields, fact))
            case ev.WalkStopped() as fact:
                words = f"'{fact.step}' was not clear ({'; '.join(fact.missing)}): stopped before it"
                if (fact.item, fact.step) not in stopped:  # asked again it is the same stop
                    found.append(Incident(run.number, STOPPED, e.t_ns, words, fact.by or run.caller))
                stopped.add((fact.item, fact.step))
    return found + [
        Incident(
            run.number,
            _kind(fields.get("kind", UNSAID)),
            t_ns,
            fields.get("what") or fields.get("draft") or "its key was pressed, and nobody has said why",
            by,
            {name: fields[name] for name in FORM if name in fields},
        )
        for t_ns, by, fields in opened.values()
        if fields.get("kind") != BY_MISTAKE
    ]


def work_days(
    days: Iterable[tuple[str, Sequence[DayRow]]],
    found: Iterable[Incident],
    on_day: Mapping[int, str],
) -> tuple[WorkDay, ...]:
    """Days in the order of the calendar: sorting them by speed would make a race of crew work.

    Args:
        days: each day with its table.
        found: the tour's incidents.
        on_day: run number → its day at its own venue.
    """
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
    """How many of each kind; an injury, a near miss and damage are there with 0, for none is worth saying."""
    whole = list(found)
    number = {kind: sum(i.kind == kind for i in whole) for kind in INCIDENTS}
    rare = {kind: sum(i.kind == kind for i in whole) for kind in (UNSAID, NOT_CLEAR, STOPPED)}
    return number | {kind: n for kind, n in rare.items() if n}


def count_words(found: Iterable[Incident]) -> str:
    """``1 injury, 0 near misses, 2 damage``; that there were none is said as well."""
    number = counts(found)
    injury = "injury" if number["injury"] == 1 else "injuries"
    near = "near miss" if number["near miss"] == 1 else "near misses"
    words = f"{number['injury']} {injury}, {number['near miss']} {near}, {number['damage']} damage"
    rare = {UNSAID: "not said what", NOT_CLEAR: "walked without clearance", STOPPED: "stopped for clearance"}
    return words + "".join(f", {number[kind]} {said}" for kind, said in rare.items() if kind in number)


def _planned_s(row: DayRow) -> float | None:
    return None if row.planned_end_ns is None else (row.planned_end_ns - row.planned_start_ns) / 1e9


def _kind(text: str) -> IncidentKind:
    return cast("IncidentKind", text)
