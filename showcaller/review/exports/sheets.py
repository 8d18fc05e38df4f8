"""A report as plain tables: a name, headings that carry their units, rows; every export's source."""

from collections.abc import Callable
from datetime import datetime

from showcaller.review.clock_path import clock_path
from showcaller.review.day import DayRow
from showcaller.review.incidents import form_words, has_form
from showcaller.review.report import RunReport, TourReport
from showcaller.review.timeline import NS
from showcaller.review.verdicts import judged
from showcaller.review.voice import heard_in, latenesses
from showcaller.run.compiled import compile_show
from showcaller.values import Struct

Cell = str | int | float | None


class Sheet(Struct, frozen=True):
    """A table. ``wide`` columns (by place) hold words and may be broken over lines."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    wide: tuple[int, ...] = ()


def run_sheets(report: RunReport) -> tuple[Sheet, ...]:
    """A run's tables, incidents first; those without any row are left out, but for the incidents."""
    made = (make(report) for make in _RUN)
    return tuple(sheet for sheet in made if sheet.rows or sheet.name == "Incidents")


def tour_sheets(report: TourReport) -> tuple[Sheet, ...]:
    """A tour's tables: incidents and crew work by the calendar, what drifts most, what to take in."""
    work = tuple(
        (
            day.day,
            sum(i.kind == "injury" for i in day.incidents),
            sum(i.kind == "near miss" for i in day.incidents),
            sum(i.kind == "damage" for i in day.incidents),
            name,
            _minutes(planned_s),
            _minutes(took_s),
        )
        for day in report.work
        for name, planned_s, took_s in day.work or (("", None, None),)
    )
    sheets = (
        Sheet(
            "Incidents of the tour",
            ("Run", "Kind", "What", "By"),
            tuple((i.run, i.kind, i.words, i.by) for i in report.incidents),
            (2,),
        ),
        Sheet(
            "Crew work",
            (
                "Day", "Injuries", "Near misses", "Damage", "Work", "Planned, min", "Took, min",
            ),
            work,
        ),
        Sheet(
            "What drifts most",
            ("Item", "Runs", "Mean over, s", "Spread, s", "Total, s"),
            tuple((d.name, d.runs, _r(d.mean_over_s), _r(d.sd_s), _r(d.total_s)) for d in report.drifters),
            (0,),
        ),
        Sheet(
            "For tomorrow",
            ("Offer", "Confidence"),
            tuple((o.words, o.detail) for o in report.offers),
            (0, 1),
        ),
    )  # fmt: skip
    return tuple(sheet for sheet in sheets if sheet.rows)


def _incidents(report: RunReport) -> Sheet:
    readers = report.plan.show.incident_readers
    rows = tuple(
        (moment_words(report, i.t_ns), i.kind, i.words, i.by, form_words(i, readers) if has_form(i) else "")
        for i in report.incidents
    )
    return Sheet("Incidents", ("At", "Kind", "What", "By", "Form"), rows, (2, 4))


def _waterfall(report: RunReport) -> Sheet:
    rows = tuple((b.label, p.name, p.kind, p.ns / NS) for b in report.fall.bars() for p in b.parts if p.ns)
    total = (("total", "", "", report.fall.total_ns / NS),)
    return Sheet("Where the time went", ("Bar", "Owner", "Kind", "s"), rows + total, (1,))


def _items(report: RunReport) -> Sheet:
    rows = tuple(
        (i.name, i.kind, i.status, _r(i.planned_s), _r(i.actual_s), _r(i.over_s), _r(i.held_s), i.visits)
        for i in report.items
    )
    headings = ("Item", "Kind", "Status", "Planned, s", "Actual, s", "Over, s", "Held, s", "Times on")
    return Sheet("Items", headings, rows, (0,))


def _sections(report: RunReport) -> Sheet:
    rows = tuple(
        (s.item_name, s.section, _r(s.planned_s), _r(s.actual_s), _r(s.over_s)) for s in report.sections
    )
    return Sheet("Sections", ("Item", "Section", "Planned, s", "Actual, s", "Over, s"), rows, (0,))


def _cues(report: RunReport) -> Sheet:
    items = {i.item: i.name for i in report.items}
    rows = tuple(
        (
            items.get(c.item, c.item),
            f"{c.department} {c.number}",
            c.label,
            c.status,
            _r(c.planned_s),
            _r(c.actual_s),
            _r(c.late_s) if c.firm else None,
            _r(c.done_s),
            c.why if c.why else c.seen if c.seen == "not seen" else ("" if c.firm else "by eye"),
        )
        for c in report.cues
    )
    headings = (
        "Item",
        "Cue",
        "Label",
        "Status",
        "Planned, s",
        "Actual, s",
        "Late, s",
        "Done after, s",
        "Why",
    )
    return Sheet("Cues", headings, rows, (0, 2, 8))


def _walks(report: RunReport) -> Sheet:
    rows = tuple(
        (w.name, leg.name, _r(leg.planned_s), _r(leg.actual_s), _r(leg.over_s))
        for w in report.walks
        for leg in w.legs
    )
    return Sheet("Walk-ons", ("Walk-on", "Leg", "Planned, s", "Actual, s", "Over, s"), rows, (0, 1))


def _callers(report: RunReport) -> Sheet:
    rows = tuple(
        (
            s.caller,
            s.goes,
            round(100 * s.near, 1),
            _r(s.median_error_s),
            _r(s.median_abs_error_s),
            _r(s.worst_s),
            s.unanswered,
            s.wrong,
            _r(s.spread_s),
            s.unsaid,
            s.hurried,
        )
        for s in report.scores
    )
    headings = (
        "Caller", "Goes", "Within 0.5 s, %", "Median, s", "Median error, s", "Worst, s",
        "Not acknowledged", "Wrong go", "Spread, s", "Standbys never called", "Standbys called late",
    )  # fmt: skip
    return Sheet("Callers", headings, rows, (0,))


def _calling(report: RunReport) -> Sheet:
    rows = tuple(
        (
            c.item_name,
            c.section,
            c.goes,
            _r(c.error_s),
            _r(c.spread_s),
            c.unsaid,
            c.hurried,
            _r(c.lead_s),
            _r(c.before_s),
            c.nights,
        )
        for c in report.called
    )
    headings = (
        "Item", "Section", "Goes", "Median late, s", "Spread, s", "Standbys never called",
        "Standbys called late", "Standby beyond the least, s", "Shows before, s", "Shows",
    )  # fmt: skip
    return Sheet("Calling", headings, rows, (0, 1))


def _departments(report: RunReport) -> Sheet:
    answers = {r.department: r for r in report.reactions}
    rows = []
    for d in report.departments:
        r = answers.get(d.department)
        rows.append(
            (
                d.department,
                d.goes,
                d.automatic,
                _r(d.median_error_s),
                _r(d.worst_s),
                d.skipped,
                d.missed,
                d.refused,
                r.asked if r else 0,
                _r(r.median_s) if r else None,
                _r(r.worst_s) if r else None,
                r.silent if r else 0,
            )
        )
    headings = (
        "Department", "Goes", "Automatic", "Median late, s", "Worst, s", "Skipped", "Missed", "Refused",
        "Standbys", "Keyed after, s", "Slowest, s", "Not acknowledged",
    )  # fmt: skip
    return Sheet("Departments", headings, tuple(rows), (0,))


def _slips(report: RunReport) -> Sheet:
    rows = tuple((moment_words(report, s.t_ns), s.kind, s.names, s.why) for s in report.slips)
    return Sheet("Errors", ("At", "Kind", "Cues", "Why"), rows, (2, 3))


def _messages(report: RunReport) -> Sheet:
    rows = tuple(
        (d.outlet, d.sent, _r(d.median_late_ms), _r(d.worst_late_ms), d.failed, _r(d.away_s), d.last_why)
        for d in report.deliveries
    )
    headings = ("Output", "Sent", "Median late, ms", "Worst, ms", "Not sent", "Offline, s", "Last reason")
    return Sheet("Messages", headings, rows, (6,))


def _timecode(report: RunReport) -> Sheet:
    q = report.timecode
    if q is None:
        return Sheet("Timecode", ("Figure", "Value"), ())
    rows: tuple[tuple[Cell, ...], ...] = (
        ("heard, s", _r(q.heard_s)),
        ("good, %", round(100 * q.share, 1)),
        ("lost, times", q.losses),
        ("longest loss, s", _r(q.longest_loss_s)),
        ("clock moved, times", q.shifts),
        ("farthest, s", _r(q.worst_shift_s)),
        ("large jumps, asked about", q.jumps),
        ("taken by hand", q.by_hand),
    )
    return Sheet("Timecode", ("Figure", "Value"), rows)


def _notes(report: RunReport) -> Sheet:
    rows = tuple(
        (moment_words(report, m.t_ns), m.name, m.words)
        for m in report.moments
        if m.kind in ("note", "incident")
    )
    return Sheet("Notes", ("At", "Kind", "Words"), rows, (2,))


def _told(report: RunReport) -> Sheet:
    rows = tuple((moment_words(report, n.t_ns), n.kind, n.words) for n in report.notable)
    return Sheet("What happened", ("At", "Kind", "Words"), rows, (2,))


def _pages(report: RunReport) -> Sheet:
    rows: list[tuple[Cell, ...]] = []
    for p in report.pages:
        took = "not closed" if p.open_s is None else f"open for {p.open_s:.0f} s"
        rows.append(
            (moment_words(report, p.t_ns), p.name, f"{took}, {p.count} of {p.lines} ticked", None, "", p.by)
        )
        for t in p.ticked:
            says = f"{t.says} (taken back)" if t.undone else t.says
            rows.append((moment_words(report, t.t_ns), p.name, says, _r(t.after_s), t.stood, t.by))
    headings = ("At", "Page", "Line", "After, s", "Clearance then", "By")
    return Sheet("Pages read aloud", headings, tuple(rows), (2,))


def _planned_and_was(report: RunReport, day: DayRow) -> tuple[Cell, ...]:
    """Planned from, until, began, ended, minutes late and over."""
    times = (day.planned_start_ns, day.planned_end_ns, day.began_ns, day.ended_ns)
    return (*(_time(report, t_ns) for t_ns in times), _minutes(day.late_s), _minutes(day.over_s))


def _day(report: RunReport) -> Sheet:
    rows = tuple(
        (d.name, *_planned_and_was(report, d), d.crew or None, d.trucks or None, d.differ)
        for d in report.day
        if d.kind != "truck"
    )
    headings = (
        "Schedule entry", "Planned", "until", "Began", "Ended", "Late, min", "Over, min", "Crew", "Trucks",
        "Two reports",
    )  # fmt: skip
    return Sheet("Day sheet", headings, rows, (0, 9))


def _trucks(report: RunReport) -> Sheet:
    """The get-out by its trucks, in the order they are loaded: planned and as it went."""
    rows = tuple(
        (d.name, d.dock, d.carries, d.crew or None, *_planned_and_was(report, d), d.differ)
        for d in report.day
        if d.kind == "truck"
    )
    headings = (
        "Truck", "Dock", "Carries", "Crew", "Planned", "until", "Doors open", "closed", "Late, min",
        "Over, min", "Two reports",
    )  # fmt: skip
    return Sheet("Trucks", headings, rows, (0, 2, 10))


def _seconds(report: RunReport) -> Sheet:
    """Said, given, done: what of a go's lateness was the voice, the key, the network, the desk."""
    items = {i.item: i.name for i in report.items}
    found = latenesses(report.records, report.cues, heard_in(report.remarks))
    rows = tuple(
        (
            items.get(cue.item, cue.item),
            f"{cue.department} {cue.number}",
            cue.label,
            _r(cue.late_s) if cue.firm else None,
            _r(arose.voice_s),
            _r(arose.finger_s),
            _r(arose.network_s),
            _r(arose.department_s),
        )
        for cue in report.cues
        if cue.actual_s is not None and (arose := found.get((cue.cue, cue.actual_s))) is not None
    )
    headings = ("Item", "Cue", "Label", "Late, s", "Voice, s", "Key, s", "Network, s", "Desk, s")
    return Sheet("Said, given, done", headings, rows, (0, 2))


def _verdicts(report: RunReport) -> Sheet:
    """What was judged at the recording, and what became of it."""
    path = clock_path(compile_show(report.opened), report.records)
    rows = tuple(
        (
            moment_words(report, one.t_ns),
            one.name,
            f"bar {one.bar}" if one.bar is not None else one.section,
            one.verdict,
            one.word,
            one.by,
            one.settled or "open",
        )
        for one in judged(report.run.number, report.remarks, report.plan, path)
    )
    return Sheet("Verdicts", ("At", "Item", "Where", "Verdict", "Words", "By", "Became"), rows, (1, 4, 6))


_RUN: tuple[Callable[[RunReport], Sheet], ...] = (
    _incidents, _waterfall, _items, _sections, _cues, _walks, _callers, _calling, _departments, _slips, _told,
    _seconds, _verdicts, _pages, _notes, _messages, _timecode, _day, _trucks,
)  # fmt: skip


def text_of(value: Cell) -> str:
    """A cell as it is read: milliseconds at most, a true minus sign, nothing for nothing."""
    if value is None:
        return ""
    if isinstance(value, float):
        text = f"{value:.3f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text.replace("-", "−")
    return str(value)


def _r(value: float | None) -> float | None:
    """Milliseconds are enough for people; the log has the rest."""
    return None if value is None else round(value, 3)


def _minutes(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds / 60, 1)


def moment_words(report: RunReport, t_ns: int | None) -> str:
    """The time of day of an instant of the run's clock; empty for none."""
    return "" if t_ns is None else _time(report, report.wall_ns(t_ns))


def _time(report: RunReport, wall_ns: int | None) -> str:
    if wall_ns is None:
        return ""
    return datetime.fromtimestamp(wall_ns / 1e9, report.zone).strftime("%H:%M:%S")
