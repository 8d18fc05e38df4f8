"""The window of the crew pages: the code to scan, PIN and fingerprint, who is in, and how to put them out."""

import time
from collections.abc import Callable
from functools import lru_cache

import segno

from showcaller.calling.caller_view import CallView
from showcaller.desk.buttons import PlateButton
from showcaller.desk.crew_server import CrewServer
from showcaller.desk.crew_words import CrewRow, crew_rows, crew_sum, in_fours
from showcaller.desk.keys import Keys
from showcaller.desk.nowbar import NowBar
from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import Paper, font
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.views import ListView
from showcaller.desk.qt import (
    QCloseEvent,
    QColor,
    QHBoxLayout,
    QKeyEvent,
    QLabel,
    QMenu,
    QResizeEvent,
    QSizePolicy,
    QStandardItem,
    QStandardItemModel,
    Qt,
    QVBoxLayout,
    QWidget,
    Signal,
)
from showcaller.desk.theme import theme

TWICE_S = 3.0
NOW_BAR_PX = 46
_QUIET_MODULES = 4
"""Left free around a QR code (ISO/IEC 18004, 6.3.8)."""


@lru_cache(maxsize=8)
def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """A QR code's dark modules, row by row."""
    return tuple(tuple(bool(x) for x in row) for row in segno.make(text, error="m", micro=False).matrix)


class QrCode(Sheet):
    """A link to be scanned. Dark on light, in the night colours too: or no phone reads it."""

    def __init__(self) -> None:
        super().__init__("Code to scan")
        self.link = ""
        self.setMinimumSize(220, 220)

    def show_link(self, link: str) -> None:
        """Show another."""
        if link != self.link:
            self.link = link
            self.setAccessibleDescription(link)
            self.update()

    def draw(self, paper: Paper) -> None:
        if not self.link:
            return
        rows = modules(self.link)
        count = len(rows) + 2 * _QUIET_MODULES
        side = int(min(paper.width, paper.height)) // count
        left, top = int(paper.width - side * count) // 2, int(paper.height - side * count) // 2
        paint = paper.painter
        paint.fillRect(left, top, side * count, side * count, QColor("#D9DEE0"))
        for y, row in enumerate(rows):
            for x, dark in enumerate(row):
                if dark:
                    at = (left + (x + _QUIET_MODULES) * side, top + (y + _QUIET_MODULES) * side)
                    paint.fillRect(*at, side, side, QColor("#000000"))


class CrewList(ListView):
    """Links, each with those who came in by it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Links, and who came in by them", parent)
        self._rows: tuple[CrewRow, ...] = ()
        self._model = QStandardItemModel(0, 2, self)
        self.setModel(self._model)
        self.fit(16, 30)

    def show_rows(self, rows: tuple[CrewRow, ...]) -> None:
        """Show these; what was chosen stays so."""
        if rows == self._rows:
            return
        before = self.chosen()
        self._rows = rows
        self._model.setRowCount(0)
        for row in rows:
            cells = [QStandardItem(row.words), QStandardItem(row.state)]
            for cell in cells:
                cell.setData(colour(row.tone), Qt.ItemDataRole.ForegroundRole)
            self._model.appendRow(cells)
        ids = [(row.link, row.session) for row in rows]
        if before is not None and (before.link, before.session) in ids:
            self.choose(ids.index((before.link, before.session)))

    def chosen(self) -> CrewRow | None:
        """The row that is chosen."""
        index = self.currentIndex()
        return self._rows[index.row()] if index.isValid() and index.row() < len(self._rows) else None

    def choose(self, at: int) -> None:
        """Choose a row; beyond the ends the last one there."""
        self.setCurrentIndex(self._model.index(max(0, min(len(self._rows) - 1, at)), 0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.share_columns((0.66,), self.width())


class CrewWindow(QWidget):
    """``closed`` when it is closed (the server goes on), ``ended`` when the pages are switched off. Keys that
    are not its own are handed on to the desk, so that no go is lost behind it; what they act on stands at
    its foot."""

    closed = Signal()
    ended = Signal()
    pressed = Signal(object)
    released = Signal(object)

    def __init__(self, server: CrewServer, keys: Keys) -> None:
        super().__init__()
        self._server = server
        self.now_bar = NowBar(keys)
        self.now_bar.setFixedHeight(NOW_BAR_PX)
        self.now_bar.hide()
        self._position = ""
        self._armed_s = -9.0
        self.setWindowTitle("Crew pages – showcaller")
        self.resize(1100, 620)
        self.setAutoFillBackground(True)
        self.code = QrCode()
        self.whose, self.address = self._label("semibold", 20), self._label("regular", 15)
        self.pin, self.print_ = self._label("bold", 44), self._label("regular", 13)
        self.sum, self.said = self._label("semibold", 20), self._label("regular", 15)
        self.list = CrewList(self)
        self.for_one = self._button("for one position …", self._choose)
        self.out = self._button("withdraw", self._withdraw)
        self.all_out = self._button("new PIN, everyone out", self._withdraw_all)
        self.off = self._button("switch off", self.ended.emit)
        self._lay_out()
        self.list.clicked.connect(lambda _: self.refresh(True))
        server.ask_link("")
        self.refresh(True)

    def _label(self, weight: str, size_px: int) -> QLabel:
        label = QLabel(self)
        label.setFont(font(size_px, weight))
        label.setWordWrap(size_px < 20)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        return label

    def _button(self, words: str, press: Callable[[], None]) -> PlateButton:
        button = PlateButton(words, self)
        button.fit(1.0)
        # A click must not take the focus from the show's keys.
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.clicked.connect(press)
        return button

    def _lay_out(self) -> None:
        left, right, feet = QVBoxLayout(), QVBoxLayout(), QHBoxLayout()
        self.pin.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        for widget in (self.whose, self.code, self.address, self.pin, self.print_):
            left.addWidget(widget, 1 if widget is self.code else 0)
        left.addWidget(self.for_one, 0, Qt.AlignmentFlag.AlignLeft)
        for button in (self.out, self.all_out, self.off):
            feet.addWidget(button)
        feet.addStretch(1)
        right.addWidget(self.sum)
        right.addWidget(self.list, 1)
        right.addWidget(self.said)
        right.addLayout(feet)
        parts = QHBoxLayout()
        parts.setContentsMargins(24, 20, 24, 20)
        parts.setSpacing(28)
        parts.addLayout(left, 4)
        parts.addLayout(right, 5)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(parts, 1)
        whole.addWidget(self.now_bar)
        self.restyle()

    def show_line(self, view: CallView, since_s: float, asked: tuple[str, str] | None, on: bool) -> None:
        """The line to call now, while a show is ``on``: the window may lie over the box."""
        self.now_bar.setVisible(on)
        if on:
            self.now_bar.show_view(view, since_s, asked)

    def restyle(self) -> None:
        """Take the colours that are in use now."""
        t = theme()
        palette = self.palette()
        palette.setColor(self.backgroundRole(), colour("ground"))
        self.setPalette(palette)
        tones = {self.whose: t.text, self.pin: t.strong, self.sum: t.text, self.said: t.caution}
        for label in (*tones, self.address, self.print_):
            label.setStyleSheet(f"color: {tones.get(label, t.quiet)};")

    def refresh(self, anew: bool = False) -> None:
        """Show how the server stands; called often."""
        status, link = self._server.status, self._server.links.get(self._position, "")
        if not link and status and not anew:
            self._server.ask_link(self._position)
        names = {p["key"]: p["name"] for p in status.get("positions", [])}
        whose = names.get(self._position, "any position")
        lines = status.get("lines") or [""]
        groups = in_fours(status["fingerprint"]) if status else ""
        compare = f"The browser warns once. Its certificate's SHA-256 must be\n{groups}" if groups else ""
        words = {
            self.whose: f"Scan for {whose}",
            self.address: f"or open  {link}" if link else "",
            self.pin: f"PIN  {status['pin']}" if status else "",
            self.print_: compare,
            self.sum: crew_sum(status),
            self.said: self._server.trouble or str(lines[-1]),
        }
        for label, text in words.items():
            if label.text() != text:
                label.setText(text)
        self.code.show_link(link)
        self.list.show_rows(crew_rows(status))
        chosen = self.list.chosen()
        armed = time.monotonic() - self._armed_s < TWICE_S
        self.all_out.setText("press again: everyone out" if armed else "new PIN, everyone out")
        self.out.setText("put this person out" if chosen and chosen.session else "withdraw this link")
        self.out.setEnabled(chosen is not None)
        for button in (self.out, self.all_out):
            button.adjustSize()

    def _choose(self) -> None:
        menu = QMenu(self)
        menu.addAction("any position").triggered.connect(lambda: self._show_for(""))
        for one in self._server.status.get("positions", []):
            menu.addAction(one["name"]).triggered.connect(lambda _=False, key=one["key"]: self._show_for(key))
        menu.popup(self.for_one.mapToGlobal(self.for_one.rect().bottomLeft()))

    def _show_for(self, position: str) -> None:
        self._position = position
        self._server.ask_link(position)
        self.refresh(True)

    def _withdraw(self) -> None:
        chosen = self.list.chosen()
        if chosen is not None and chosen.session:
            self._server.put_out(chosen.session)
        elif chosen is not None:
            self._server.withdraw(chosen.link)

    def _withdraw_all(self) -> None:
        now_s = time.monotonic()
        if now_s - self._armed_s < TWICE_S:
            self._armed_s = -9.0
            self._server.withdraw_all()
        else:
            self._armed_s = now_s
        self.refresh(True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        by = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        if event.key() == Qt.Key.Key_Escape:
            self.close()
        elif by is not None:
            self.list.choose(self.list.currentIndex().row() + by)
            self.refresh(True)
        else:
            self.pressed.emit(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self.released.emit(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.closed.emit()
        event.accept()
