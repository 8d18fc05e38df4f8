"""People of the day: who is there, who is late, whose break is due, from the marks people put down. Pure."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta, tzinfo

from showcaller.archive.values import DayMark
from showcaller.model import BreakRule, CrewMember, Show
from showcaller.review.timeline import NS
from showcaller.values import Struct

WARN_S = 30 * 60.0
"""A break is warned of this long before it has to begin (our choice: time to find somebody)."""

NIGHT_ENDS = time(4)
"""Who is called earlier than this is called after the show, for the load-out, not before it
(our choice: load-ins begin from about five)."""


def in_mark(ident: str) -> str:
    """What a person's coming and going is marked as."""
    return f"person.{ident}"


def break_mark(ident: str) -> str:
    """What a person's breaks are marked as."""
    return f"break.{ident}"


class MemberRow(Struct, frozen=True):
    """A person of the day. Times are Unix ns, None where not planned or not put down.

    ``state`` is *to come*, *in*, *on a break* or *gone*; ``late_s`` how late they came, or are by now;
    ``break_due_ns`` when the next break has to begin, None without a rule or while none is due.
    """

    member: CrewMember
    state: str
    called_ns: int | None
    in_ns: int | None
    out_ns: int | None
    late_s: float | None
    break_due_ns: int | None
    breach: bool = False
    """The break should have begun."""


def crew_table(
    show: Show, day: str, marks: Iterable[DayMark], zone: tzinfo, now_ns: int
) -> tuple[MemberRow, ...]:
    """A row for everybody, in the show's order.

    Args:
        day: the show's date, ``yyyy-mm-dd``.
        marks: those of that day, in the order they were put down.
        zone: the venue's time zone.
        now_ns: Unix.
    """
    mine = [m for m in marks if m.day == day]
    return tuple(_row(show.breaks, member, day, mine, zone, now_ns) for member in show.people)


def head_count(rows: Sequence[MemberRow]) -> str:
    """``12 of 14 are in, 1 on a break; 1 late: Bo Marr``."""
    there = [row for row in rows if row.state in ("in", "on a break")]
    away = sum(row.state == "on a break" for row in rows)
    late = [row.member.acting for row in rows if row.state == "to come" and (row.late_s or 0) > 0]
    due = [row.member.acting for row in rows if row.break_due_ns is not None]
    words = f"{len(there)} of {len(rows)} are in" + (f", {away} on a break" if away else "")
    words += f"; {len(late)} late: {', '.join(late)}" if late else ""
    return words + (f"; break due: {', '.join(due)}" if due else "")


def _row(
    rule: BreakRule | None, member: CrewMember, day: str, marks: Sequence[DayMark], zone: tzinfo, now_ns: int
) -> MemberRow:
    came = [m.wall_ns for m in marks if m.item == in_mark(member.id) and m.what == "began"]
    went = [m.wall_ns for m in marks if m.item == in_mark(member.id) and m.what == "ended"]
    in_ns = came[-1] if came else None
    out_ns = went[-1] if went and in_ns is not None and went[-1] >= in_ns else None
    breaks = [m for m in marks if m.item == break_mark(member.id)]
    resting = bool(breaks) and breaks[-1].what == "began" and in_ns is not None and out_ns is None
    called_ns = None
    if member.called_at is not None:
        called_ns = round(_called(day, time.fromisoformat(member.called_at), zone).timestamp() * NS)
    late_s = None if called_ns is None else ((now_ns if in_ns is None else in_ns) - called_ns) / NS
    state = (
        "to come" if in_ns is None else "gone" if out_ns is not None else "on a break" if resting else "in"
    )
    due_ns = None
    if rule is not None and in_ns is not None and state == "in":
        begins_ns = _worked_since(rule, in_ns, breaks) + round(rule.after_h * 3600 * NS)
        due_ns = begins_ns if now_ns >= begins_ns - WARN_S * NS else None
    breach = due_ns is not None and now_ns >= due_ns
    return MemberRow(member, state, called_ns, in_ns, out_ns, late_s, due_ns, breach)


def _called(day: str, at: time, zone: tzinfo) -> datetime:
    first = datetime.combine(date.fromisoformat(day), at, zone)
    return first + timedelta(days=1) if at < NIGHT_ENDS else first


def _worked_since(rule: BreakRule, in_ns: int, breaks: Sequence[DayMark]) -> int:
    """Since when they have worked without a break that counts."""
    since, began = in_ns, None
    for mark in breaks:
        if mark.what == "began":
            began = mark.wall_ns
        elif began is not None:
            if mark.wall_ns - began >= timedelta(minutes=rule.for_min).total_seconds() * NS:
                since = max(since, mark.wall_ns)
            began = None
    return since
