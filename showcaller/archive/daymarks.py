"""The day as it went: doors, support, curfew, get-out began and ended, put down by whoever saw it."""

import re
from datetime import date, datetime, tzinfo
from typing import get_args

from sqlalchemy import insert, select

from showcaller.archive.errors import TourError
from showcaller.archive.opened import OpenTour, now_or
from showcaller.archive.tables import DayMarkRow
from showcaller.archive.values import DayMark, DayWhat, Marked


class DayMarks(OpenTour):
    """The tour's marks of the day. Several desks may mark the same; nothing put down is ever lost."""

    def mark_day(
        self,
        day: str,
        item: str,
        what: DayWhat,
        *,
        by: str,
        wall_ns: int | None = None,
        written_wall_ns: int | None = None,
        zone: tzinfo | None = None,
    ) -> Marked:
        """Put down that something of the day began or ended.

        Args:
            day: the show's date, ``yyyy-mm-dd``.
            item: the id of the day item.
            what: ``began`` or ``ended``.
            by: who says so.
            wall_ns: when it was, Unix ns; now if not given.
            written_wall_ns: when it is put down; now if not given.
            zone: the venue's, for what is said; this machine's if not given.

        Raises:
            TourError: a date or a word that will not do, or it cannot be written.
        """
        if not re.fullmatch(r"\d{4}-\d\d-\d\d", day) or _no_date(day):
            raise TourError(f"'{day}' is not a date; give one such as 2026-07-04")
        if what not in get_args(DayWhat):
            raise TourError(
                f"a schedule entry is marked began or ended (or unbegun, unended: taken back), not '{what}'"
            )
        if not item.strip() or not by.strip():
            raise TourError("a mark needs its schedule entry and the name of who says so")
        mark = DayMark(day, item, what, now_or(wall_ns), by.strip(), now_or(written_wall_ns))
        with self.writing() as connection:
            query = (
                select(DayMarkRow.__table__)
                .where(DayMarkRow.day == day, DayMarkRow.item == item, DayMarkRow.what == what)
                .order_by(DayMarkRow.written_wall_ns.desc(), DayMarkRow.id.desc())
                .limit(1)
            )
            before = connection.execute(query).one_or_none()
            connection.execute(
                insert(DayMarkRow).values(
                    day=day, item=item, what=what, wall_ns=mark.wall_ns, marked_by=mark.by,
                    written_wall_ns=mark.written_wall_ns,
                )
            )  # fmt: skip
            self.tell(connection, "day", day)
        words = ""
        if before is not None and before.wall_ns != mark.wall_ns:
            earlier, counts = _time(before.wall_ns, zone), _time(mark.wall_ns, zone)
            words = f"{before.marked_by} had logged {earlier}; both are kept, {counts} counts"
        return Marked(mark, words)

    def day_marks(self, day: str | None = None) -> list[DayMark]:
        """The marks of a day, or of all days, in the order they were put down."""
        query = select(DayMarkRow.__table__).order_by(DayMarkRow.written_wall_ns, DayMarkRow.id)
        if day is not None:
            query = query.where(DayMarkRow.day == day)
        with self.reading() as connection:
            return [
                DayMark(row.day, row.item, row.what, row.wall_ns, row.marked_by, row.written_wall_ns)
                for row in connection.execute(query)
            ]


def _no_date(day: str) -> bool:
    try:
        date.fromisoformat(day)
    except ValueError:
        return True
    return False


def _time(wall_ns: int, zone: tzinfo | None) -> str:
    return datetime.fromtimestamp(wall_ns / 1e9).astimezone(zone).strftime("%H:%M:%S")
