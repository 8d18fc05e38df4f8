"""The drift area: what happened in a run, and what can be done about it."""

from showcaller.archive.tour import Tour
from showcaller.desk.areas.drift.angles import AnglesView
from showcaller.desk.areas.drift.charts import FOOT_PX, HEAD_PX, FallChart, TrendChart
from showcaller.desk.areas.drift.controller import DriftController
from showcaller.desk.areas.drift.decisions import deciding_ways
from showcaller.desk.areas.drift.lists import DECIDE, NONE, PAGES, TAPED, WALL
from showcaller.desk.areas.drift.offers import OFFERS, OffersList, offer_rows
from showcaller.desk.areas.drift.record_list import RecordList
from showcaller.desk.areas.drift.recording import RecordingPlayer
from showcaller.desk.areas.drift.screen_view import ScreenView
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.areas.drift.tape_state import TapeState
from showcaller.desk.areas.drift.tape_view import TapeView
from showcaller.desk.buttons import KeyButtons
from showcaller.desk.context import DeskContext
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.tabs import OVER_PX, Tabs
from showcaller.desk.paint.views import TEXT_PX
from showcaller.desk.qt import QRect, QRectF, QShowEvent
from showcaller.desk.said import FootWords
from showcaller.review.words import no_offer_words

SAID_MS = 9_000
"""How long what was done, or why not, stays at the foot."""
SPLIT = 0.615
"""The share of the width that charts and offers have."""
_TABS = tuple("messages" if page == "sent" else page for page in PAGES)

_TOLD_PX = {DECIDE: 108, WALL: 72}
"""Room under the list for all of what the chosen line says, px at 1920×1080."""


class DriftArea(Sheet):
    """Puts drift's widgets together: state, recording, controller, and what lies between them on paper."""

    def __init__(self, store: DocumentStore, around: DeskContext) -> None:
        super().__init__("Drift: what happened")
        self._keys = around.keys
        self.state, self.said = DriftState(store, self), FootWords(SAID_MS, self)
        self.recording = RecordingPlayer(self.state, self)
        self.controller = DriftController(self.state, self.said, self.recording, around, self)
        self.fall, self.trend, self.offers = FallChart(self), TrendChart(self), OffersList(self)
        self.screen_ = ScreenView(self.state, self.recording, around.keys, self)
        self.tabs = Tabs("Lists of the record", _TABS, self)
        self.list = RecordList(self)
        self.words = KeyButtons(self, "Drift", around.keys, self.perform)
        self.tape_words = KeyButtons(self, "Drift tape", around.keys, self.perform)
        self.tape = TapeState(self.state, self.recording, self)
        self.controller.tape = self.tape
        self.strip = TapeView(self.tape, self)
        self.angles = AnglesView(self.state, self.tape, self.recording, self)
        self._parts = (self.screen_, self.tabs, self.list)
        self.list.asked.connect(lambda: around.menu("row"))
        self._connect()
        self._told()

    def _connect(self) -> None:
        state, controller = self.state, self.controller
        state.changed.connect(self._told)
        state.store.document_changed.connect(lambda: self._told() if self.isVisible() else None)
        self.recording.changed.connect(self._frame_shown)
        self.said.changed.connect(self._say)
        self.list.chose.connect(state.choose)
        self.list.sort_asked.connect(
            lambda column, falling: state.sort(None if column < 0 else (column, falling))
        )
        self.tabs.chose.connect(controller.turn_to)
        self.offers.took.connect(controller.take_in)
        self.screen_.pressed.connect(controller.play)
        self.strip.went.connect(self.tape.go_to)
        self.tape.changed.connect(self.strip.update)
        for view in (self.list, self.offers):
            view.copied.connect(self.said.copied)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._told()  # the book may have been changed meanwhile

    # What the desk asks of it

    def show_tour(self, tour: Tour) -> None:
        """Read the tour's runs and show the last, or the one that was chosen."""
        self.state.show_tour(tour)

    def perform(self, name: str) -> None:
        """One of the area's actions."""
        self.controller.perform(name)

    def leave(self) -> bool:
        """Stop listening, or writing a report."""
        return self.controller.leave()

    def settle(self) -> None:
        """Wait until everything that was asked for is there; for pictures and tests."""
        self.state.reading.settle()
        self.recording.player.settle()
        self.tape.settle()
        self.angles.settle()

    def close_down(self) -> None:
        """Stop every thread."""
        self.tape.close()
        self.angles.shut()
        self.recording.close()
        self.controller.close()
        self.state.reading.close()

    # What is shown

    def _told(self) -> None:
        """Another run, list or line, or otherwise now: every widget shows it, a screen reader says it."""
        state, view = self.state, self.state.view
        for part in self._parts:
            part.setVisible(view is not None)
        self._turn(view is not None)
        if view is None:
            self.setAccessibleDescription(state.words)
            self._lay_out()
            self.update_between()
            return
        self.setAccessibleDescription(f"{view.title}: {view.sentence}")
        self.fall.show_view(view)
        self.trend.show_item(dict(view.items).get(state.item, ""), view.trends.get(state.item))
        self.tabs.show_tab(PAGES.index(state.page))
        self._lay_out()
        locked = (
            "the book is read-only; open the desk on the show to change it"
            if state.store.read_only is not None
            else ""
        )
        self.offers.show_offers(offer_rows(state.offers.of(view, state.store.document), locked, self._keys))
        self._turn(True)
        self.list.show_page(state.page, state.rows(), state.chosen, state.order)
        self.screen_.update()
        self.update_between()

    def _turn(self, there: bool) -> None:
        """The charts, or the tape in their place."""
        for chart in (self.fall, self.trend):
            chart.setVisible(there and not self.tape.shown)
        if self.tape.shown or not there:
            self.offers.setVisible(False)
        self.strip.setVisible(self.tape.shown)
        self._say()
        self.angles.setVisible(bool(self.angles.recordings()))

    def _frame_shown(self) -> None:
        """Another frame: where it is the first, there is more to say under it."""
        screen = self.screen_
        if (
            int(screen.wanted_px(screen.width(), self.height() * self.angles.picture_share()))
            != screen.height()
        ):
            self._lay_out()
        screen.update()

    def _say(self) -> None:
        self.words.set_visible(not self.said.words and not self.tape.shown)
        self.tape_words.set_visible(not self.said.words and self.tape.shown)
        self.update_between()

    def _lay_out(self) -> None:
        k, width, height = self.scale(), self.width(), self.height()
        left, right, foot = int(28 * k), int(width - 28 * k), height - 46 * k
        split = width * SPLIT
        wide, middle = int(split - left), int(split + 38 * k)
        head, below = HEAD_PX * k, FOOT_PX * k

        def between(top: float, end: float) -> QRect:
            return QRect(left, int(top - head), wide, int(end - top + head + below))

        self.fall.setGeometry(between(146 * k, height * 0.43))
        self.trend.setGeometry(between(height * 0.49, height * 0.77))
        self.strip.setGeometry(left, int(126 * k), wide, int(foot - 126 * k))
        row = max(1, int(28 * k))
        self.offers.fit(max(11.0, 18 * k), row)
        top = int(height * 0.81 + 8 * k)
        rows = max(1, min(OFFERS, int((foot + 10 * k - top) // row)))
        self.offers.setGeometry(left - TEXT_PX, top, wide + TEXT_PX, row * rows)
        deep = self.screen_.wanted_px(right - middle, height * self.angles.picture_share())
        self.screen_.setGeometry(middle, int(56 * k), right - middle, int(deep))
        top = self.screen_.geometry().bottom()
        self.tabs.fit(k, 24, room_px=right - middle)
        self.tabs.move(middle, int(top + (6 - OVER_PX) * k))
        top += int(40 * k)
        told = _TOLD_PX.get(self.state.page, 0) * k if self.state.rows() else 0
        others = self.angles.wanted_px(right - middle)
        self.angles.setGeometry(middle, int(foot - others), right - middle, int(others))
        low = foot - top - told - others
        self.list.place(QRectF(middle - 10 * k, top, right - middle + 20 * k, low), k)
        for words in (self.words, self.tape_words):
            words.place_from(left - 6 * k, height - 34 * k, k)

    def draw(self, paper: Paper) -> None:
        k, state, view = paper.px, self.state, self.state.view
        left, right = k(28), paper.width - k(28)
        if self.said.words:
            paper.text(left, paper.height - k(14), self.said.words, "small", "caution", room=right - left)
        if view is None:
            words = "Reading the tour." if state.reading.busy and not state.runs else state.words
            paper.text(left, k(60), words, "body", "quiet", room=paper.width - k(60))
            return
        split = paper.width * SPLIT
        used = paper.text(left, k(46), view.title, "title", "strong", "semibold", room=split * 0.6)
        if view.hurt:
            paper.text(left + used + k(26), k(46), "◆", "small", "missed")
        at = left + used + k(50 if view.hurt else 26)
        paper.text(at, k(46), view.incidents, "small", "missed" if view.hurt else "quiet", room=split - at)
        size = paper.fitted(
            view.sentence, "body", "regular", split - left
        )  # never cut: it may name the curfew
        paper.text(left, k(80), view.sentence, "body", "text", room=split - left, size_px=size)
        paper.text(left, k(108), view.facts, "tiny", "quiet", room=split - left)
        if self.tape.shown:
            _draw_right(paper, state, self._keys, right, self.list.geometry())
            return
        offers = state.offers.of(view, state.store.document)
        more = f" · {len(offers) - OFFERS} more in the report" if len(offers) > OFFERS else ""
        paper.heading(left, paper.height * 0.81, f"for tomorrow{more}")
        if not offers:
            words = (
                no_offer_words(view.report.fall)
                if not view.offers
                else "All that was offered is in the book."
            )
            paper.text(left, paper.height * 0.81 + k(32), words, "small", "text")
        _draw_right(paper, state, self._keys, right, self.list.geometry())

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self._told()


def _draw_right(paper: Paper, state: DriftState, keys: Keys, right: float, box: QRect) -> None:
    """Which run of the tour it is, and what an empty list says."""
    k = paper.px
    if len(state.runs) > 1:
        ways = f"{keys['drift.run_before']}, {keys['drift.run_after']}"
        words = f"{state.at + 1} of {len(state.runs)} in this tour · {ways}"
        paper.text(right, k(46), words, "tiny", "quiet", align="right")
    row = state.rows()[state.chosen] if state.chosen < len(state.rows()) else None
    view = state.view
    if state.page in TAPED and row is not None and view is not None:  # whole, and what can be done about it
        y = paper.wrapped(
            box.x() + k(10), box.bottom() + k(30), row.words, right - box.x(), "small", "text", 3
        )
        one = state.decisions.of_row(view, state.store.document, row) if state.page == DECIDE else None
        ways = " · ".join(f"{keys[f'drift.{a}']} {w}" for a, w in deciding_ways(one)) if one else ""
        paper.text(box.x() + k(10), y + k(4), ways, "tiny", "quiet", room=right - box.x())
    if not state.rows():
        words = NONE.get(state.page, "Nothing.")
        paper.text(box.x() + k(10), box.y() + k(24), words, "small", "quiet", room=k(700))
