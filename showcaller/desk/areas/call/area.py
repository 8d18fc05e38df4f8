"""The call area put together."""

from typing import Protocol

from showcaller.calling.caller_view import CallView, call_view
from showcaller.calling.desk_reports import desk_rows
from showcaller.calling.lyrics_view import lyrics_view
from showcaller.calling.outlook import Advice
from showcaller.calling.rungs import place_words
from showcaller.calling.status_view import (
    NOTHING,
    clearance_rows,
    figures,
    order_rows,
    outlet_rows,
    timecode_rows,
)
from showcaller.desk.areas.call.centre import CentreSheet
from showcaller.desk.areas.call.order import OrderSheet
from showcaller.desk.areas.call.page import PageSheet
from showcaller.desk.areas.call.side import SideContent, SideSheet
from showcaller.desk.areas.call.strip import TimeStrip
from showcaller.desk.keys import Keys, foot_keys
from showcaller.desk.qt import QRect, QRectF, QWidget
from showcaller.desk.told import Paged, Prompted, Walk
from showcaller.run.runbook import RunBook
from showcaller.timing.forecast import Forecast

AHEAD_EVERY_S = 0.5
"""The forecast is worked out this often."""

REFUSED_FOR_S = 20
"""A refusal is shown this long, in run time; then it is only in the log."""

VIEW_EVERY_S = 0.1
"""Between two views only distances move; what is coming is worked out this often, and at every record."""


class Ahead(Protocol):
    """What is ahead of the show."""

    def forecast(self, now_ns: int, wall_ns: int) -> Forecast:
        """When the show will end, in seconds from now."""

    def cut(self, now_ns: int, wall_ns: int, ahead: Forecast) -> Advice | None:
        """What to leave out for the curfew."""

    def never_run(self, now_ns: int) -> int:
        """How many of the items to come were never measured."""

    def counted_ns(self, wall_ns: int) -> int:
        """The time of day the forecast counts from."""

    def walk(self, now_ns: int) -> Walk | None:
        """The next walk-on, if one is near."""

    def earlier_notes(self) -> tuple[str, ...]:
        """Notes of an earlier night on the item that is on."""


class Reading(Protocol):
    """The pages that are read aloud."""

    def shown(self, book: RunBook, now_ns: int) -> Paged | None:
        """What of them is in view."""

    def perform(self, name: str) -> None:
        """Do one of their actions, by its id without the area."""

    def leave(self) -> bool:
        """Out of view with them; False where none was."""


class CallArea(QWidget):
    """Strip, running order, centre and side. ``refresh`` is called at every frame."""

    def __init__(self, keys: Keys) -> None:
        super().__init__()
        self.strip, self.order, self.centre, self.side = (
            TimeStrip(),
            OrderSheet(),
            CentreSheet(keys),
            SideSheet(keys),
        )
        self.page = PageSheet(keys)
        for sheet in (self.strip, self.order, self.centre, self.page, self.side):
            sheet.setParent(self)
        self.reading: Reading | None = None
        self._keys = keys
        self._seen: tuple[RunBook | None, int] = (None, -1)
        self._viewed_ns = 0
        self._forecast: Forecast | None = None
        self._forecast_ns = 0
        self._cut: Advice | None = NOTHING
        self.view = CallView("idle")

    def resizeEvent(self, _event: object) -> None:
        k = self.centre.scale()
        width, height = self.width(), self.height()
        strip = int(124 * k)
        left, right = int(408 * k), int(440 * k)
        self.strip.setGeometry(0, 0, width, strip)
        self.order.setGeometry(0, strip, left, height - strip)
        self.centre.setGeometry(left, strip, width - left - right, height - strip)
        self.side.setGeometry(width - right, strip, right, height - strip)

    def _ahead(self, host: Ahead, now_ns: int, wall_ns: int) -> Forecast:
        if self._forecast is None or not 0 <= now_ns - self._forecast_ns < AHEAD_EVERY_S * 1e9:
            self._forecast, self._forecast_ns = host.forecast(now_ns, wall_ns), now_ns
            self._cut = host.cut(now_ns, wall_ns, self._forecast)
        return self._forecast

    def perform(self, name: str) -> None:
        """Do one of the area's actions, by its id without the area."""
        if name.startswith("page_"):
            if self.reading is not None:
                self.reading.perform(name)
            return
        self.centre.resize_line({"larger": 1, "smaller": -1}[name])

    def leave(self) -> bool:
        """A page that is read aloud goes out of view."""
        return self.reading is not None and self.reading.leave()

    def foot(self) -> QRectF:
        """Where a prompt lies: over the foot of the ladder, never over the line to say now."""
        return QRectF(self.centre.geometry())

    def under_box(self) -> QRect:
        """Where something may lie without covering the line to say, what is asked, or a clearance."""
        lies = self.centre.geometry()
        return QRect(
            0,
            lies.top() + int(self.centre.below_px),
            lies.right() + 1,
            lies.height() - int(self.centre.below_px),
        )

    def refresh(self, book: RunBook, host: Ahead, now_ns: int, wall_ns: int, asked: Prompted | None) -> None:
        """Show the run as it stands at ``now_ns``."""
        elapsed_ns = now_ns - self._viewed_ns
        if book is not self._seen[0]:
            self._forecast = None  # of another plan
        if self._seen != (book, book.version) or not 0 <= elapsed_ns < VIEW_EVERY_S * 1e9:
            self._seen, self._viewed_ns, elapsed_ns = (book, book.version), now_ns, 0
            self.view = call_view(book, now_ns)
            now = self.view.now
            where = ""
            if now is not None and now.go is not None:
                goes = book.compiled.items[now.item].planned.goes
                where = place_words(book, now.item, next(g for g in goes if g.id == now.go))
            self.centre.show_view(self.view, book.said, where)
            self.centre.sung = lyrics_view(book, self.view, now_ns)
            fresh = now_ns - book.refused_ns < REFUSED_FOR_S * 1e9
            self.centre.refused = book.refused if fresh else None
            self.strip.show_rows(
                figures(
                    book,
                    now_ns,
                    host.counted_ns(wall_ns),
                    self._ahead(host, now_ns, wall_ns),
                    self._cut,
                    host.never_run(now_ns),
                )
            )
            self.order.show_rows(order_rows(book, now_ns), foot_keys(self._keys))
            notes = tuple(n.text for n in book.notes[-3:])
            self.side.show_content(
                SideContent(
                    clearance_rows(book, now_ns),
                    host.walk(now_ns),
                    desk_rows(book, now_ns) + outlet_rows(book) + timecode_rows(book, now_ns),
                    notes,
                    host.earlier_notes(),
                )
            )
        self._show_page(book, now_ns)
        moving = book.state.phase == "running" and book.state.clock_ns is not None
        self.centre.since_s = elapsed_ns / 1e9 if moving else 0.0
        self.centre.asked = asked
        self.centre.update()

    def _show_page(self, book: RunBook, now_ns: int) -> None:
        """A page takes the ladder's place; the box above it stays."""
        shown = None if self.reading is None else self.reading.shown(book, now_ns)
        self.centre.paged = shown is not None
        self.page.show_page(shown)
        if shown is not None:
            lies = self.centre.geometry().adjusted(0, int(self.centre.below_px), 0, 0)
            if lies != self.page.geometry():
                self.page.setGeometry(lies)
