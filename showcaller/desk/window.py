"""The desk's window: header, four areas, one prompt. It asks, shows and passes on; it decides nothing."""

import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.archive.later import AnyTour
from showcaller.calling.status_view import ends
from showcaller.desk import change_where
from showcaller.desk.areas.book.area import BookArea
from showcaller.desk.areas.call.area import CallArea
from showcaller.desk.ask import Done, Suggest
from showcaller.desk.callkeys import CallKeys
from showcaller.desk.chime import InTheEar
from showcaller.desk.clocks import Clocks
from showcaller.desk.context import DeskContext
from showcaller.desk.desk_acts import DeskActs
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.focus import TAB_IS_A_KEY, FocusWindow
from showcaller.desk.guide import GuideBar
from showcaller.desk.handing_on import hand_on
from showcaller.desk.header import AREAS, HeadContent, Header
from showcaller.desk.keyboard import Keyboard
from showcaller.desk.keys import Keys
from showcaller.desk.later import LaterAreas
from showcaller.desk.layout import Layout
from showcaller.desk.memory import settle
from showcaller.desk.menus import Menus
from showcaller.desk.nowbar import NowBar
from showcaller.desk.opening import Opening
from showcaller.desk.palette import Palette
from showcaller.desk.performing import Performer
from showcaller.desk.person import person_here
from showcaller.desk.prompt import Prompt
from showcaller.desk.qt import (
    QCloseEvent,
    QCursor,
    QEvent,
    QKeyEvent,
    QStackedWidget,
    Qt,
    QTimer,
    QVBoxLayout,
    QWidget,
)
from showcaller.desk.run_controller import RunController
from showcaller.desk.seats import SEATS
from showcaller.desk.status_words import badge, clock_words
from showcaller.desk.turning import Turning
from showcaller.desk.typed_into import TypedInto
from showcaller.editing.keeping import Keeper
from showcaller.model import Show
from showcaller.run.last_edition import changes_in

if TYPE_CHECKING:
    from showcaller.desk.areas.drift.area import DriftArea
    from showcaller.desk.areas.wall.area import WallArea

FRAME_MS = 16
LATER_S = 0.4
"""The areas with large libraries are loaded this long after the window was made."""
ENDS_EVERY_S = 0.5


class DeskWindow(FocusWindow):
    """The desk. ``host`` holds the show, the tour and the run that is open, if one is."""

    def __init__(
        self,
        show: Show,
        tour: AnyTour,
        runs: Path,
        keys: Keys,
        host: type[RunController] = RunController,
        settings: Path | None = None,
        keeper: Keeper | None = None,
        seat: str = "caller",
    ) -> None:
        super().__init__()
        settle()  # the show is in memory now, for as long as the window stands
        self.setWindowTitle(f"{show.name} – showcaller")
        self.keys, self.seat = keys, SEATS[seat]
        keys.sitting.seat = self.seat
        self.host = host(show, tour, runs)
        self.host.keys = keys
        self.host.me.sits(self.seat.name, calls=seat == "caller")
        self.store = DocumentStore(show, keeper, self)
        self.store.document_changed.connect(lambda: self.host.take_show(self.store.document))
        self.header = Header()
        self.header.chosen.connect(self.show_area)
        around = DeskContext(
            keys=keys,
            ask=self.ask,
            tour=lambda: self.host.tour,
            edition=self.host.editions.words,
            runs=runs,
            settings=settings,
            seat=lambda: "" if self.acts.lock.on else self.seat.id,
            running=lambda: self.host.session is not None,
            live=lambda: self.host.session is not None and not self.host.book.state.all_muted,
            who=lambda: self.host.book.state.caller or person_here(),
            kept=lambda number, digest: self.host.editions.kept(number, digest, self.host.show),
            away=lambda: "" if self.host.keeper is None else self.host.keeper.why(),
            tonight=lambda: change_where.turn(self.store, self.host.session, self.book.said, keys),
            changes=lambda: tuple(changes_in(self.host.book.records)),
            menu=lambda what: self.menus.context(what, self, QCursor.pos()),
        )
        self.book, self.call = BookArea(self.store, around), CallArea(keys)
        self.areas = QStackedWidget()
        for area in (self.book, QWidget(), self.call, QWidget()):
            self.areas.addWidget(area)
        self.later = LaterAreas(self.areas, self.store, around)
        self._later_s = time.monotonic() + LATER_S
        self.turning = Turning(self.book, self.later, self.host)
        self.now_bar, self.guide = NowBar(keys), GuideBar(keys, settings)
        body = QWidget()
        layout = QVBoxLayout(body)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.header)
        layout.addWidget(self.guide)
        layout.addWidget(self.areas, 1)
        layout.addWidget(self.now_bar)
        self.setCentralWidget(body)
        self.setMinimumSize(1024, 552)  # 1280×720 at 125 %, less a title bar
        self.prompt = Prompt(body, self._place_prompt)
        self.calls = CallKeys(self.ask, keys)
        self.call.reading = self.calls.reading
        self.opening = Opening(self.host, self.ask)
        self._layout = Layout(settings) if settings is not None else None
        self.hear: Callable[[QKeyEvent], None] = partial(hand_on, self)
        self.clocks = Clocks(self._layout, self.hear)
        self._chime = InTheEar(settings)
        self.keyboard = Keyboard(keys)
        self.acts: DeskActs = DeskActs(self, settings)
        self.performer = Performer(
            self, self.calls, keys, self.acts.table(), lambda: self.acts.helping.lies_over
        )
        self.menus: Menus = Menus(self, keys, self.performer.do, self.performer.why_not)
        self.palette_ = Palette(body, keys, self.performer.do, self.performer.why_not)
        self.palette_.free = self.acts.helping.free
        self.typed_into = TypedInto(self.prompt, self.palette_, self.acts.helping, self.acts.lock)
        self.acts.fill(self.menus)
        self._ends_s = -1e9
        self.show_area(self.seat.opens)
        self._frames = QTimer(self)
        self._frames.setTimerType(Qt.TimerType.PreciseTimer)
        self._frames.timeout.connect(self.frame)
        self._frames.start(FRAME_MS)
        settle()

    @property
    def wall(self) -> "WallArea":
        """The Wall area, made when it is first wanted."""
        return self.later.wall

    @property
    def drift(self) -> "DriftArea":
        """The Drift area, made when it is first wanted."""
        return self.later.drift

    def show_area(self, name: str) -> None:
        """Bring one of the four areas to the front."""
        self.turning.to(name)
        self.areas.setCurrentIndex(AREAS.index(name))
        self.tab_moves = name not in TAB_IS_A_KEY
        self.frame()

    def area_name(self) -> str:
        """The area in front."""
        return AREAS[self.areas.currentIndex()]

    def frame(self) -> None:
        """One frame: take in what has come, show how things stand."""
        was_on, taken = self.host.session, self.host.poll()
        change_where.follow(self.store, self.host.session, self.book.said)
        if was_on is not None and self.host.session is None:
            self.calls.forget()  # no question outlives the show it was about
            change_where.after(len(was_on.book.changes), self.book.said, self.keys)
        made = time.monotonic() > self._later_s and self.later.load(self.host.preparation.busy)
        if made or (taken and self.later.drift_made):  # made for this alone it would hold up the window
            self.drift.show_tour(self.host.tour)
        book, now_ns, wall_ns = self.host.book, self.host.now_ns(), self.host.wall_ns()
        area = self.area_name()
        self.menus.look(hidden=book.state.phase in ("running", "held"))
        if self.host.session is not None:
            self.calls.look(self.host.session, self.call.view)
            self._chime.look(self.call.view, self.call.centre.since_s)
        asked = self.calls.asked()
        if asked is None and self.host.session is None:
            asked = self.host.unfinished.words(self.keys)
        away = area != "Call" and self.host.session is not None
        self.now_bar.setVisible(away)
        if area == "Call" or away or self.clocks.window is not None:
            self.call.centre.watch = self.calls.desks.watch(self.host.session)
            self.call.centre.looping = self.calls.banner(self.host.session)
            self.call.centre.typing = self.typed_into.words(self.call.view, self.keys)
            self.call.refresh(book, self.host.outlook, now_ns, wall_ns, asked)
        question = None if asked is None else (asked.heading, asked.words)
        now = (self.call.view, self.call.centre.since_s, question)
        if away:
            self.now_bar.show_view(*now)
        self.acts.helping.show_line(*now, on=self.host.session is not None)
        if self.clocks.window is not None:
            self.clocks.window.show_content(self.call.strip.rows, self.call.view, asked)
        if area == "Book" and time.monotonic() - self._ends_s > ENDS_EVERY_S:
            self._ends_s = time.monotonic()
            ahead = self.host.outlook
            counted_ns, found = ahead.counted_ns(wall_ns), ahead.forecast(now_ns, wall_ns)
            self.book.show_ends(ends(book, counted_ns, found, never_run=ahead.never_run(now_ns)))
        self.later.follow(area == "Wall", self.host)
        self.guide.look(area, self.host.session is not None, book.records, self.performer.did)
        keeper, sync, running = self.store.keeper, self.host.keeper, self.host.session is not None
        kept = None if keeper is None else keeper.trouble or keeper.said
        away_words = sync.words(running) if sync is not None else ""
        own = self._chime.trouble or self.acts.crew.trouble(running)
        trouble, name = self.host.trouble or away_words or kept or own, self.host.show.name
        clock = clock_words(wall_ns, self.host.session, self.host.show)
        well = sync is not None and sync.is_back and trouble == away_words
        said = name, self.host.run_words(), area
        self.header.show_content(HeadContent(*said, *badge(book, self.host.session), clock, trouble, well))

    def place(self) -> None:
        """Open where the window stood the last time on these screens, else over the whole screen."""
        if self._layout is None or not self._layout.restore("desk", self):
            # Also where nothing manages windows: fill what the screen offers.
            self.setGeometry(self.screen().availableGeometry())
            self.showMaximized()
            return
        self.show()

    def ask(
        self, question: str, done: Done, hint: str = "", suggest: Suggest | None = None, typed: str = ""
    ) -> None:
        """Open the prompt over the foot of the area in front."""
        self.calls.forget(if_asked=True)
        self.prompt.ask(question, done, hint, suggest, typed)
        self._place_prompt()

    def _place_prompt(self) -> None:
        foot = self.call.foot() if self.area_name() == "Call" else self.areas.rect().toRectF()
        foot.translate(self.areas.x(), self.areas.y())
        self.prompt.adjustSize()
        self.prompt.place(foot)

    def resizeEvent(self, event: object) -> None:
        k = max(0.6, min(self.width() / 1920, self.height() / 1080))
        self.header.setFixedHeight(int(64 * k))
        self.now_bar.setFixedHeight(int(56 * k))
        self.menus.fit(k)
        super().resizeEvent(event)  # type: ignore[arg-type]
        self.palette_.place()
        if self.prompt.is_open():
            self._place_prompt()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if self.keyboard.released(event):
            self.menus.call()
        super().keyReleaseEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        repeated = self.keyboard.is_repeat(event)
        found = self.keyboard.action(event, self.performer.hears())
        if not self.typed_into.take(event, repeated) and found is not None:
            self.performer.do(found[0], repeated, found[1])

    def stop(self) -> None:
        """No more frames, and the window gone; the run and the tour stay as they are."""
        self._frames.stop()
        self.acts.close()
        self.later.close()
        self.book.close_down()
        self.hide()
        self.deleteLater()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.ActivationChange and not self.isActiveWindow():
            self.calls.forget()
        super().changeEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.host.session is None or self.opening.leaving or self.host.book.state.phase == "ended":
            self._frames.stop()
            if self._layout is not None:
                self._layout.keep("desk", self)
            self.acts.close()
            self.later.close()
            self.book.close_down()
            self.host.close()
            self.store.close()
            event.accept()
            return
        event.ignore()
        self.show_area("Call")
        self.opening.leave_desk(self.close)
