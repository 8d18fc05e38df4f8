"""The desk's window: header, four areas, one prompt. It asks, shows and passes on; it decides nothing."""

import getpass
import time
from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.archive import Tour
from showcaller.calling.keys import ACTIONS
from showcaller.calling.status_view import ends
from showcaller.desk.areas.book.area import BookArea
from showcaller.desk.areas.book.keys import BOOK_KEYS
from showcaller.desk.areas.book.paging import Surroundings
from showcaller.desk.areas.call.area import CallArea
from showcaller.desk.areas.call.centre import Prompted
from showcaller.desk.areas.drift.keys import DRIFT_KEYS
from showcaller.desk.areas.wall.keys import WALL_KEYS
from showcaller.desk.bigclock import BigClock
from showcaller.desk.callkeys import CallKeys
from showcaller.desk.chime import Chime
from showcaller.desk.header import AREAS, HeadContent, Header
from showcaller.desk.host import RunHost
from showcaller.desk.later import LaterAreas
from showcaller.desk.layout import Layout
from showcaller.desk.memory import settle
from showcaller.desk.nowbar import NowBar
from showcaller.desk.opening import Opening
from showcaller.desk.prompt import Prompt
from showcaller.desk.qt import (
    QCloseEvent,
    QEvent,
    QKeyEvent,
    QKeySequence,
    QMainWindow,
    QShowEvent,
    QStackedWidget,
    Qt,
    QTimer,
    QVBoxLayout,
    QWidget,
)
from showcaller.desk.workbook import Workbook
from showcaller.editing.keeping import Keeper
from showcaller.model import Show

if TYPE_CHECKING:
    from showcaller.desk.areas.drift.area import DriftArea
    from showcaller.desk.areas.wall.area import WallArea

FRAME_MS = 16
LATER_S = 0.4
"""The areas with large libraries are loaded this long after the window was made."""
ENDS_EVERY_S = 0.5
REPEAT_S = 0.06
"""A press this soon after the release of the same key is the keyboard's, not a finger's."""
_STEPS = (
    Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home, Qt.Key.Key_PageUp,
    Qt.Key.Key_PageDown,
)  # fmt: skip
_OWN_KEYS = {"Book": BOOK_KEYS, "Wall": WALL_KEYS, "Drift": DRIFT_KEYS}
"""Areas with keys of their own, which the list of keys then shows."""

_WITH = (
    Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
)
_FOOT_KEYS = ("go", "standby", "answer", "hold", "note", "back", "skip", "jump")


class DeskWindow(QMainWindow):
    """The desk. ``host`` holds the show, the tour and the run that is open, if one is."""

    def __init__(
        self,
        show: Show,
        tour: Tour,
        runs: Path,
        keys: dict[str, str],
        host: type[RunHost] = RunHost,
        settings: Path | None = None,
        keeper: Keeper | None = None,
    ) -> None:
        super().__init__()
        settle()  # the show is in memory now, for as long as the window stands
        self.setWindowTitle(f"{show.name} – showcaller")
        self.host = host(show, tour, runs)
        self.workbook = Workbook(show, keeper, self)
        self.workbook.changed.connect(lambda: self.host.take_show(self.workbook.show_now))
        self._by_key = {QKeySequence(key).toString(): name for name, key in keys.items()}
        foot = tuple((keys[name], ACTIONS[name][1]) for name in _FOOT_KEYS)
        self.header = Header()
        self.header.chosen.connect(self.show_area)
        around = Surroundings(
            lambda: self.host.tour,
            self.host.edition_words,
            runs,
            lambda: self.host.session is not None,
            lambda: self.host.book.state.caller or getpass.getuser(),
            self.host.kept,
            lambda: "" if self.host.keeper is None else self.host.keeper.why(),
        )
        self.book = BookArea(self.workbook, self.ask, around, self._is_live)
        self.call = CallArea(foot)
        self.areas = QStackedWidget()
        for area in (self.book, QWidget(), self.call, QWidget()):
            self.areas.addWidget(area)
        self.later = LaterAreas(self.areas, self.workbook, self.ask)
        self._later_s = time.monotonic() + LATER_S
        body = QWidget()
        layout = QVBoxLayout(body)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.header)
        layout.addWidget(self.areas, 1)
        self.now_bar = NowBar()
        layout.addWidget(self.now_bar)
        self.setCentralWidget(body)
        self.setMinimumSize(1024, 600)
        self.prompt = Prompt(body, self._place_prompt)
        self.keys = CallKeys(self.ask)
        self.opening = Opening(self.host, self.ask)
        self._leaving = False
        self._layout = Layout(settings) if settings is not None else None
        self.clock: BigClock | None = None
        self._chime = Chime(settings)
        self._locked = False
        self._released: dict[int, float] = {}
        self._ends_s = -1e9
        self.show_area("Call")
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
        if name in ("Wall", "Drift"):
            _ = self.wall if name == "Wall" else self.drift  # made by asking for it
        self.areas.setCurrentIndex(AREAS.index(name))
        if name == "Drift":
            self.drift.show_tour(self.host.tour)
        if name == "Book" and self.host.session is not None:
            self.book.show_book(self.host.book, self.host.book.state.item)
        self.frame()

    def area_name(self) -> str:
        """The area in front."""
        return AREAS[self.areas.currentIndex()]

    def frame(self) -> None:
        """One frame: take in what has come, show how things stand."""
        taken = self.host.poll()
        if taken or (time.monotonic() > self._later_s and self.later.load()):
            self.drift.show_tour(self.host.tour)
        book, now_ns, wall_ns = self.host.book, self.host.now_ns(), self.host.wall_ns()
        area = self.area_name()
        if self.host.session is not None:
            self.keys.look(self.host.session)
            self._chime.look(self.call.view, self.call.centre.since_s)
        asked = self.keys.asked()
        waiting = self.host.waiting()
        if waiting is not None and asked is None:
            asked = Prompted("not ended", waiting)
        away = area != "Call" and self.host.session is not None
        self.now_bar.setVisible(away)
        if area == "Call" or away or self.clock is not None:
            self.call.refresh(self.host, now_ns, wall_ns, asked)
        if away:
            question = None if asked is None else (asked.heading, asked.words)
            self.now_bar.show_view(self.call.view, self.call.centre.since_s, question)
        if self.clock is not None:
            self.clock.show_content(self.call.strip.rows, self.call.view)
        if area == "Book":
            if time.monotonic() - self._ends_s > ENDS_EVERY_S:
                self._ends_s = time.monotonic()
                counted_ns = self.host.forecast_wall_ns(wall_ns)
                self.book.show_ends(ends(book, counted_ns, self.host.forecast(now_ns, wall_ns)))
        elif area == "Wall":
            self.wall.refresh(self.host)
        badge, tone = self.host.badge()
        self.header.show_content(
            HeadContent(
                self.host.show.name,
                self.host.run_words(),
                area,
                badge,
                tone,
                self.host.clock_words(wall_ns),
                self._trouble(),
            )
        )

    def _is_live(self) -> bool:
        return self.host.session is not None and not self.host.book.state.all_muted

    def _trouble(self) -> str:
        keeper = self.workbook.keeper
        kept = None if keeper is None else keeper.trouble or keeper.said
        return self.host.trouble or self.host.tour_words() or kept or self._chime.trouble or ""

    def place(self) -> None:
        """Open where the window stood the last time on these screens, else over the whole screen."""
        if self._layout is None or not self._layout.restore("desk", self):
            # Also where nothing manages windows: fill what the screen offers.
            self.setGeometry(self.screen().availableGeometry())
            self.showMaximized()
            return
        self.show()

    def toggle_clock(self) -> None:
        """Open the clocks for a second screen, or close them."""
        if self.clock is not None:
            self.clock.close()
            return
        self.clock = BigClock()
        self.clock.closed.connect(self._clock_closed)
        if self._layout is not None:
            self._layout.restore("clock", self.clock)
        self.clock.show()

    def _clock_closed(self) -> None:
        if self.clock is not None and self._layout is not None:
            self._layout.keep("clock", self.clock)
        self.clock = None

    def ask(self, question: str, done: object, hint: str = "", suggest: object = None) -> None:
        """Open the prompt over the foot of the area in front."""
        self.prompt.ask(question, done, hint, suggest)  # type: ignore[arg-type]
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
        super().resizeEvent(event)  # type: ignore[arg-type]
        if self.prompt.is_open():
            self._place_prompt()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self._released[event.key()] = time.monotonic()
        super().keyReleaseEvent(event)

    def _is_repeat(self, event: QKeyEvent) -> bool:
        """Whether a press is the keyboard repeating a key held down.

        The X server sends a release and a press for every repeat, and Qt does not always see that they
        belong together; no finger presses a key again within a few hundredths of a second.
        """
        since_s = time.monotonic() - self._released.get(event.key(), -1e9)
        return event.isAutoRepeat() or since_s < REPEAT_S

    def keyPressEvent(self, event: QKeyEvent) -> None:
        repeated = self._is_repeat(event)
        chord = QKeySequence(event.keyCombination()).toString()
        plain = not event.modifiers() & _WITH
        action = self._by_key.get(chord) or (self._by_key.get(event.text().upper()) if plain else None)
        session = self.host.session
        if self._locked or (action == "lock" and session is not None):
            if not repeated:
                self._lock()
        elif action in ("book", "wall", "call", "drift") and not repeated:
            self.show_area(action.capitalize())
        elif action == "clock" and not repeated:
            self.toggle_clock()
        elif action == "help" and not repeated:
            self._help()
        elif self._area_key(event, action):
            return
        elif event.key() in _STEPS and self.area_name() != "Call":
            self._step(event.key())
        elif event.key() == Qt.Key.Key_Escape:
            self.keys.forget()
        elif action == "open" and not repeated:
            self.show_area("Call")
            self.opening.open_run()
        elif session is None:
            if action is not None and not repeated:
                self.keys.say("no run open", "R opens one, or takes up one that was not ended")
            return
        elif action == "end" and not repeated:
            self.opening.end_run()
        elif action == "fault" and self.area_name() == "Wall" and not repeated and self.wall.fault_key():
            return
        elif action is not None:
            self.keys.act(action, session, self.call.view, repeated)
        elif event.text().isdigit() and event.text() != "0":
            self.keys.clearance(int(event.text()), session, repeated)

    def _area_key(self, event: QKeyEvent, action: str | None) -> bool:
        """Whether the area in front took the key. While a run is on, its own keys come first."""
        if action is not None and self.host.session is not None:
            return False
        if self.area_name() == "Book":
            return self.book.key(event)
        if self.area_name() == "Drift":
            return self.drift.key(event)
        return self.area_name() == "Wall" and action is None and self.wall.key(event)

    def _step(self, key: int) -> None:
        across = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(key), 0)
        along = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(key), 0)
        if self.area_name() == "Book":
            self.book.choose(along, across)
        elif self.area_name() == "Wall":
            if key == Qt.Key.Key_Home:
                self.wall.follow()
            else:
                self.wall.choose(along, across)

    def _lock(self) -> None:
        """Every key asks for the caller's name until it is typed; the run goes on."""
        self._locked = True
        caller = self.host.book.state.caller

        def done(text: str) -> str | None:
            if text.lower() != caller.lower():
                return f"locked by {caller}: type that name to unlock"
            self._locked = False
            return None

        self.ask("The desk is locked. Who unlocks it?", done, f"type {caller}; the run goes on meanwhile")

    def _help(self) -> None:
        if self.area_name() == "Book":
            self.book.pages.keys()
            return
        lines = [(key, ACTIONS[name][2]) for key, name in self._by_key.items() if name in ACTIONS]
        if self.area_name() in _OWN_KEYS:
            lines = [(key, words) for key, _, words in _OWN_KEYS[self.area_name()].values()]
        lines = [(key.replace(" ", "&nbsp;"), words) for key, words in lines]
        if self.area_name() not in _OWN_KEYS:
            lines.append(("1&nbsp;to&nbsp;9", "give a clearance; twice withdraws it"))
        half = (len(lines) + 1) // 2
        pairs = zip(lines[:half], [*lines[half:], ("", "")], strict=False)
        rows = "".join(
            "<tr>"
            + "".join(f"<td><b>{key}</b>&nbsp;&nbsp;</td><td width='360'>{does}</td>" for key, does in pair)
            + "</tr>"
            for pair in pairs
        )
        self.ask("Keys", lambda _: None, f"<table>{rows}</table>Enter or Escape closes this")

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.setFocus()  # keys are the window's, not the first button's

    def stop(self) -> None:
        """No more frames, and the window gone; the run and the tour stay as they are."""
        self._frames.stop()
        self.later.close()
        self.hide()
        self.deleteLater()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.ActivationChange and not self.isActiveWindow():
            self.keys.forget()
        super().changeEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        if self.host.session is None or self._leaving or self.host.book.state.phase == "ended":
            self._frames.stop()
            if self._layout is not None:
                self._layout.keep("desk", self)
            if self.clock is not None:
                self.clock.close()
            self.later.close()
            self.book.close_down()
            self.host.close()
            if self.workbook.keeper is not None:
                self.workbook.keeper.close()
            event.accept()
            return
        event.ignore()
        self.show_area("Call")

        def done(text: str) -> str | None:
            if text.upper() != "LEAVE":
                return "type LEAVE, or press Escape to stay"
            self._leaving = True
            self.close()
            return None

        hint = "The engine goes on: what fires by itself will fire. A new desk picks the run up. Type LEAVE."
        self.ask("Leave the desk while the run goes on?", done, hint)
