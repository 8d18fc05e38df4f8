"""The lists at the side of the drift area, as rows of words. No Qt."""

from collections.abc import Callable, Mapping

from showcaller.calling.wording import day_time, drift, lateness, percent, plural, span
from showcaller.desk.areas.drift.desk_words import desk_words
from showcaller.desk.areas.drift.note_words import note_words
from showcaller.desk.natural import natural
from showcaller.model import Department
from showcaller.review.reactions import keyed_words
from showcaller.review.report import RunReport, TourReport
from showcaller.review.score import NEAR_S
from showcaller.review.standbys import LEAD_SLACK_S
from showcaller.review.timeline import NS
from showcaller.review.voice import heard_in, latenesses
from showcaller.values import Struct

LATE_FULL_S = 2.0
"""A bar beside a cue is full at this much early or late."""

ITEM_FULL_S = 60.0
"""One beside an item, or a section of one."""

SCALES: Mapping[str, str] = {"cues": "± 2 s", "items": "± 1:00", "tour": "± 1:00"}
"""What a full bar is, by page: one scale for all of its bars."""


class Row(Struct, frozen=True):
    """A line: a name, words, a figure at the right, and a bar before it: at ``share`` −1 or 1 it is full, and
    beyond that it is drawn cut.

    ``t_ns`` is the moment it stands for on the run's clock, if any; ``item`` the item it belongs to;
    ``day`` the thing of the day it is.
    """

    name: str
    words: str
    figure: str = ""
    share: float = 0.0
    bar: bool = False
    tone: str = "text"
    department: Department | None = None
    t_ns: int | None = None
    item: str = ""
    day: str = ""


def in_order(rows: tuple[Row, ...], order: tuple[int, bool] | None) -> tuple[Row, ...]:
    """Lines by (column, falling): 0 what, 1 how it went, 2 and 3 early or late; None: as it happened.

    Numbers in words count as numbers: ``Lights 9`` stands before ``Lights 10``. What has no figure is last.
    """
    if order is None:
        return rows
    column, falling = order
    if column <= 1:
        return tuple(sorted(rows, key=lambda r: natural((r.name, r.words)[column]), reverse=falling))
    figured = [r for r in rows if r.figure]
    figured.sort(key=lambda r: (r.share, natural(r.figure)), reverse=falling)
    return (*figured, *(r for r in rows if not r.figure))


def list_rows(page: str, report: RunReport, tour: TourReport) -> tuple[Row, ...]:
    """The rows of a page."""
    return tuple(_MAKERS[page](report, tour)) if page in _MAKERS else ()


def _cues(report: RunReport, _: TourReport) -> list[Row]:
    departments = {d.name: d for d in report.plan.show.departments}
    arose = latenesses(report.records, report.cues, heard_in(report.remarks))
    begun = next(m.t_ns for m in report.moments if m.kind == "item")
    rows = []
    for c in report.cues:
        desk = desk_words(c, arose.get((c.cue, c.actual_s or 0.0)))
        bad = c.status not in ("go", "automatic", "by hand")
        words = f"{c.status}: {c.why}" if c.why else c.status
        late = (
            lateness(c.late_s)
            if c.late_s is not None and c.firm
            else "by eye"
            if not c.firm and not bad
            else ""
        )
        share = 0.0 if c.late_s is None or not c.firm else c.late_s / LATE_FULL_S
        rows.append(
            Row(
                f"{c.department} {c.number}",
                (words if bad or c.status == "by hand" else c.label) + desk,
                late,
                share,
                True,
                "caution" if bad else "text",
                departments[c.department],
                None if c.t_s is None else begun + round(c.t_s * NS),
                c.item,
            )
        )
    return rows


def _items(report: RunReport, _: TourReport) -> list[Row]:
    begun = next(m.t_ns for m in report.moments if m.kind == "item")
    rows = []
    for i in report.items:
        actual = i.status if i.actual_s is None else span(i.actual_s)
        held = f", on hold {span(i.held_s)}" if i.held_s >= 0.5 else ""
        share = 0.0 if i.over_s is None else i.over_s / ITEM_FULL_S
        over = "" if i.over_s is None else drift(i.over_s)
        at = None if i.start_s is None else begun + round(i.start_s * NS)
        words = f"{span(i.planned_s)} planned, {actual}{held}"
        rows.append(Row(i.name, words, over, share, True, t_ns=at, item=i.item))
        for s in report.sections:
            if s.item == i.item and s.over_s is not None and abs(s.over_s) >= 0.5:
                share = s.over_s / ITEM_FULL_S
                rows.append(
                    Row(f"    {s.section}", "section", drift(s.over_s), share, True, "quiet", item=i.item)
                )
    return rows


def _notes(report: RunReport, _: TourReport) -> list[Row]:
    tones = {"incident": "missed", "fault": "caution", "look": "quiet"}
    return [
        Row(
            day_time(report.wall_ns(m.t_ns), report.zone),
            note_words(report, m),
            tone=tones.get(m.kind, "text"),
            t_ns=m.t_ns,
            item=m.item,
        )
        for m in report.moments
        if m.kind in ("note", "incident", "fault", "look", "page")
    ]


def _people(report: RunReport, _: TourReport) -> list[Row]:
    rows = [
        Row(
            s.caller,
            f"{percent(s.near)} of {plural(s.goes, 'go', 'goes')} within half a second, "
            f"worst {lateness(s.worst_s)}" + ("" if s.spread_s is None else f", spread {s.spread_s:.2f} s"),
            lateness(s.median_error_s),
            max(-1.0, min(1.0, s.median_error_s / LATE_FULL_S)),
            True,
        )
        for s in report.scores
    ]
    for s in report.scores:
        wrong = [plural(s.wrong, "wrong go", "wrong goes")] if s.wrong else []
        wrong += [f"{s.unanswered} not acknowledged"] if s.unanswered else []
        wrong += [f"{plural(s.unsaid, 'standby', 'standbys')} never called"] if s.unsaid else []
        wrong += [f"{plural(s.hurried, 'standby', 'standbys')} called late"] if s.hurried else []
        if wrong:
            rows.append(Row(s.caller, ", ".join(wrong), tone="caution"))
    departments = {d.name: d for d in report.plan.show.departments}
    for r in report.reactions:
        answer = keyed_words(r)
        worst = "" if r.worst_s is None else f", worst {r.worst_s:.1f} s"
        silent = (
            f", {r.silent} of {r.asked} not acknowledged"
            if r.silent
            else f", {plural(r.asked, 'standby', 'standbys')}"
        )
        tone = "caution" if r.silent else "text"
        rows.append(
            Row(r.department, f"{answer}{worst}{silent}", tone=tone, department=departments[r.department])
        )
    for walk in report.walks:
        for leg in walk.legs:
            over = "" if leg.over_s is None else drift(leg.over_s)
            actual = "not seen" if leg.actual_s is None else span(leg.actual_s)
            rows.append(
                Row(walk.name, f"{leg.name}: {actual}, planned {span(leg.planned_s)}", over, item=walk.item)
            )
    return rows


def _calling(report: RunReport, _: TourReport) -> list[Row]:
    """Every item, and of its sections those in which something was off; the report's table has all."""
    rows = []
    for c in report.called:
        error_s = c.error_s or 0.0
        if c.section and not c.unsaid and not c.hurried and abs(error_s) < NEAR_S / 2:
            continue
        words = [f"{plural(c.unsaid, 'standby', 'standbys')} never called"] if c.unsaid else []
        words += [f"{plural(c.hurried, 'standby', 'standbys')} called late"] if c.hurried else []
        words += [f"spread {c.spread_s:.1f} s"] if c.spread_s is not None else []
        if c.before_s is not None:
            when = "the show before" if c.nights == 1 else f"{c.nights} shows before"
            words.append(f"{when}: {lateness(c.before_s)}")
        words.append(plural(c.goes, "go", "goes"))
        if c.lead_s is not None and abs(c.lead_s) >= LEAD_SLACK_S:
            words.append(
                f"standbys {abs(c.lead_s):.0f} s {'sooner' if c.lead_s > 0 else 'later'} than needed"
            )
        rows.append(
            Row(
                f"– {c.section}" if c.section else c.item_name,
                ", ".join(words),
                "" if c.error_s is None else lateness(c.error_s),
                max(-1.0, min(1.0, error_s / LATE_FULL_S)),
                True,
                "caution" if c.unsaid or c.hurried else "text",
                item=c.item,
            )
        )
    return rows


def _sent(report: RunReport, _: TourReport) -> list[Row]:
    rows = []
    for d in report.deliveries:
        late = (
            ""
            if d.median_late_ms is None
            else f", median {d.median_late_ms:.1f} ms, worst {d.worst_late_ms:.1f} ms"
        )
        lost = f", {d.failed} not delivered" if d.failed else ""
        away = f", offline {span(d.away_s)}" if d.away_s else ""
        tone = "caution" if d.failed or d.away_s else "text"
        rows.append(Row(d.outlet, f"{plural(d.sent, 'message')}{late}{lost}{away}", tone=tone))
    if report.timecode is not None:
        q = report.timecode
        lost = (
            f"lost {plural(q.losses, 'time')}, longest {q.longest_loss_s:.1f} s" if q.losses else "never lost"
        )
        moved = (
            f", clock moved {plural(q.shifts, 'time')}, farthest {q.worst_shift_s:+.2f} s" if q.shifts else ""
        )
        tone = "caution" if q.losses or q.jumps else "text"
        rows.append(Row("Timecode", f"good {percent(q.share)}, {lost}{moved}", tone=tone))
    return rows


def _day(report: RunReport, _: TourReport) -> list[Row]:
    rows = []
    for d in report.day:
        until = "" if d.planned_end_ns is None else f" to {day_time(d.planned_end_ns, report.zone)[:5]}"
        went = "not logged" if d.began_ns is None else f"began {day_time(d.began_ns, report.zone)[:5]}"
        went += "" if d.ended_ns is None else f", ended {day_time(d.ended_ns, report.zone)[:5]}"
        late = "" if d.late_s is None else drift(d.late_s)
        words = f"{day_time(d.planned_start_ns, report.zone)[:5]}{until} · {went}"
        words += f" · {d.differ}" if d.differ else ""
        rows.append(Row(d.name, words, late, tone="caution" if d.differ else "text", day=d.id))
    return rows


def _tour(_: RunReport, tour: TourReport) -> list[Row]:
    rows = [Row(f"run {i.run}", f"{i.kind}: {i.words}", tone="missed") for i in tour.incidents]
    for d in tour.drifters:
        spread = "" if d.sd_s is None else f", spread {d.sd_s:.0f} s"
        share = d.mean_over_s / ITEM_FULL_S
        words = f"over plan on average, {plural(d.runs, 'show')}{spread}"
        rows.append(Row(d.name, words, drift(d.mean_over_s), share, True, item=d.item))
    for day in tour.work:
        for name, planned_s, took_s in day.work:
            if took_s is None:
                continue
            plan = "" if planned_s is None else f", planned {span(planned_s)}"
            hurt = f", {plural(len(day.incidents), 'incident')} that day" if day.incidents else ""
            tone = "missed" if hurt else "text"
            rows.append(Row(day.day, f"{name} took {span(took_s)}{plan}{hurt}", tone=tone))
    return rows


_MAKERS: Mapping[str, Callable[[RunReport, TourReport], list[Row]]] = {
    "cues": _cues, "items": _items, "notes": _notes, "people": _people, "calling": _calling, "sent": _sent,
    "day": _day, "tour": _tour,
}  # fmt: skip
WALL = "wall"
"""The page of looks that stood; its lines are made in ``stood.py``, of the part of the run that is asked
about."""
DECIDE = "decide"
"""The page of what is to be decided; its lines are made in ``decisions.py``."""
PAGES = (*_MAKERS, WALL, DECIDE)
TAPED = (WALL, DECIDE)
"""Pages beside which the tape stands, in the charts' place."""
NONE: Mapping[str, str] = {
    WALL: "Nothing stood on the wall there.",
    DECIDE: "Nothing is to be decided: no verdict, and all was as planned.",
    "notes": "No note, no incident, no fault.",
    "sent": "Nothing was sent.",
    "day": "The day sheet is empty: fill it in in the Book.",
    "people": "No go was given that could be early or late.",
    "calling": "No go was given.",
}
"""What an empty page says."""
