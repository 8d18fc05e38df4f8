"""The day planned against the day as it went, from the marks people put down."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, tzinfo

from showcaller.archive.values import DayMark, DayWhat
from showcaller.editing.day import Planned, day_instants
from showcaller.model import Show
from showcaller.review.timeline import NS
from showcaller.timing.planned_start import zone_of
from showcaller.values import Struct


class DayRow(Struct, frozen=True):
    """One thing of the day. Times are Unix ns, None where not planned or not put down; lengths are seconds.

    ``late_s`` is how late it began, ``over_s`` how much longer than planned it took. ``differ`` says in words
    that people put down different times; the one written last counts.
    """

    id: str
    name: str
    kind: str
    planned_start_ns: int
    planned_end_ns: int | None
    began_ns: int | None
    ended_ns: int | None
    late_s: float | None
    over_s: float | None
    crew: int
    trucks: int
    dock: str = ""
    carries: str = ""
    differ: str = ""

    @property
    def took_s(self) -> float | None:
        """How long it took, if both ends were put down."""
        if self.began_ns is None or self.ended_ns is None:
            return None
        return (self.ended_ns - self.began_ns) / NS


def day_table(show: Planned, day: str, marks: Iterable[DayMark], zone: tzinfo) -> tuple[DayRow, ...]:
    """A row for every thing planned on a day, in the show's order.

    Args:
        day: the show's date, ``yyyy-mm-dd``; where the clock of the plan runs back it is the next day.
        marks: those of that day, in the order they were put down.
        zone: the venue's time zone.
    """
    mine = [m for m in marks if m.day == day]
    rows: list[DayRow] = []
    for item, starts, ends in day_instants(show, date.fromisoformat(day)):
        start = starts.replace(tzinfo=zone)
        end = None if ends is None else ends.replace(tzinfo=zone)
        began, said = _counts(mine, item.id, "began", zone)
        ended, also = _counts(mine, item.id, "ended", zone)
        late_s = None if began is None else (began - _ns(start)) / NS
        over_s = None
        if began is not None and ended is not None and end is not None:
            over_s = (ended - began - (_ns(end) - _ns(start))) / NS
        rows.append(
            DayRow(
                item.id,
                item.name,
                item.kind,
                _ns(start),
                None if end is None else _ns(end),
                began,
                ended,
                late_s,
                over_s,
                item.crew,
                item.trucks,
                item.dock,
                item.carries,
                "; ".join(w for w in (said, also) if w),
            )
        )
    return tuple(rows)


def doors_words(rows: Sequence[DayRow]) -> str:
    """How far the trucks are, `` 2 of 6 closed, open: Truck 3 at dock B, next Truck 4``, or nothing."""
    mine = [row for row in rows if row.kind == "truck"]
    if not mine:
        return ""
    closed = sum(row.ended_ns is not None for row in mine)
    open_ = [row for row in mine if row.began_ns is not None and row.ended_ns is None]
    coming = next((row for row in mine if row.began_ns is None), None)
    said = f" {closed} of {len(mine)} closed"
    said += f", open: {', '.join(_door(row) for row in open_)}" if open_ else ""
    return said + (f", next {_door(coming)}" if coming is not None else "") + "."


def _door(row: DayRow) -> str:
    return f"{row.name} at dock {row.dock}" if row.dock else row.name


_BACK: dict[str, DayWhat] = {"began": "unbegun", "ended": "unended"}


def _counts(marks: Sequence[DayMark], item: str, what: str, zone: tzinfo) -> tuple[int | None, str]:
    """The time that counts, and in words whether others were put down."""
    found = [m for m in marks if m.item == item and m.what in (what, _BACK[what])]
    if not found:
        return None, ""
    last = found[-1]
    if last.what == _BACK[what]:
        wrong = next((m for m in reversed(found) if m.what == what), None)
        return None, "" if wrong is None else f"{what} {_clock(wrong.wall_ns, zone)} taken back by {last.by}"
    found = [m for m in found if m.what == what]
    others = {m.by: m.wall_ns for m in found if m.wall_ns != last.wall_ns}
    if not others:
        return last.wall_ns, ""
    said = ", ".join(f"{by} {_clock(ns, zone)}" for by, ns in others.items())
    return last.wall_ns, f"{what}: {last.by} {_clock(last.wall_ns, zone)} counts, before that {said}"


def _ns(moment: datetime) -> int:
    return int(moment.timestamp()) * NS


def _clock(wall_ns: int, zone: tzinfo) -> str:
    return datetime.fromtimestamp(wall_ns / 1e9, zone).strftime("%H:%M")


def day_tonight(show: Show, wall_ns: int) -> str:
    """The day of the night, ``2026-08-01``; where the show has none, that of this instant at the venue."""
    return show.date or day_of(wall_ns, zone_of(show))


def day_of(wall_ns: int, zone: tzinfo) -> str:
    """The date of an instant, ``yyyy-mm-dd``; before six in the morning it is still the evening before."""
    return datetime.fromtimestamp(wall_ns / 1e9 - 6 * 3600, zone).date().isoformat()
