"""The actions that stand as words in an area: real buttons, reached by Tab and read aloud."""

from collections.abc import Callable

from showcaller.desk.actions import ACTIONS
from showcaller.desk.keys import Keys, buttons_of
from showcaller.desk.paint.paper import FAMILY, Paper, metrics
from showcaller.desk.qt import QPainter, QPushButton, QSize, Qt, QWidget
from showcaller.desk.theme import theme


class KeyButton(QPushButton):
    """A word with its key before it."""

    def __init__(self, key: str, word: str, parent: QWidget) -> None:
        super().__init__(word, parent)
        self._key = key
        self._k = 1.0

    def fit(self, k: float) -> None:
        """Be as large as the words need at scale ``k``."""
        self._k = k
        self.setFixedSize(self.sizeHint())

    def sizeHint(self) -> QSize:
        key, word = self._widths()
        return QSize(int(key + word + 20 * self._k), int(30 * self._k))

    def paintEvent(self, _event: object) -> None:
        painter = QPainter(self)
        paper = Paper(painter, self.width(), self.height(), self._k)
        if self.underMouse():
            paper.fill(0, 0, paper.width, paper.height, "raised")
        if self.hasFocus():
            paper.frame(0.5, 0.5, paper.width - 1, paper.height - 1, "accent", 1)
        base, key = paper.height * 0.5 + self._size() * 0.36, self._widths()[0]
        paper.text(6 * self._k, base, self._key, "tiny", "quiet")
        paper.text(14 * self._k + key, base, self.text(), "tiny", "text", "medium")
        painter.end()

    def _size(self) -> float:
        return max(11.0, theme().sizes["tiny"] * self._k)

    def _widths(self) -> tuple[float, float]:
        measures = metrics(self._size(), "medium")
        return measures.horizontalAdvance(self._key), measures.horizontalAdvance(self.text())


def _prepared(button: QPushButton, name: str, keys: Keys, press: Callable[[str], None]) -> None:
    """What every button of an area has: a name, a tooltip with its key, no focus by a click."""
    short, words, key = ACTIONS[name].word, ACTIONS[name].does, keys[name]
    button.setObjectName(name)
    button.setAccessibleName(f"{short}: {words}")
    button.setToolTip(f"{words}  ({key})" if key else words)
    # A click must not take the focus from the show's keys.
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    button.setFlat(True)
    button.clicked.connect(lambda: press(name.rpartition(".")[2]))


class PlateButton(QPushButton):
    """A word on a plate."""

    def __init__(self, word: str, parent: QWidget) -> None:
        super().__init__(word, parent)
        self._k = 1.0

    def fit(self, k: float) -> None:
        """Be as large as the word needs at scale ``k``."""
        self._k = k
        self.restyle()
        self.adjustSize()

    def restyle(self) -> None:
        """Take the colours that are in use now."""
        k, t = self._k, theme()
        self.setStyleSheet(
            f"QPushButton {{ color: {t.text}; background: {t.raised}; border: none;"
            f" padding: {4 * k:.0f}px {12 * k:.0f}px; font: 500 {max(11, 17 * k):.0f}px {FAMILY}; }}"
            f" QPushButton:hover {{ background: {t.line}; }}"
            f" QPushButton:focus {{ border: 1px solid {t.accent}; }}"
        )


def _show(button: QWidget, visible: bool) -> None:
    """Only if it is not so: telling a widget what it knows costs as much."""
    if button.isHidden() is visible:
        button.setVisible(visible)


class Buttons:
    """An area's buttons as plates with a word; ``press`` is told the action's id without the area."""

    def __init__(self, parent: QWidget, area: str, keys: Keys, press: Callable[[str], None]) -> None:
        self.all: list[PlateButton] = []
        for name in buttons_of(area):
            button = PlateButton(ACTIONS[name].word, parent)
            _prepared(button, name, keys, press)
            self.all.append(button)

    def place(self, width: float, k: float) -> None:
        """Stand at the right, at scale ``k``."""
        right = width - 28 * k
        for button in reversed(self.all):
            button.fit(k)
            right -= button.width()
            button.move(int(right), int(24 * k))
            right -= 8 * k


class KeyButtons:
    """An area's buttons as words with their keys, in a row."""

    def __init__(self, parent: QWidget, area: str, keys: Keys, press: Callable[[str], None]) -> None:
        self.all: list[KeyButton] = []
        self._visible = True
        self._no_room: frozenset[KeyButton] = frozenset()
        for name in buttons_of(area):
            button = KeyButton(keys[name], ACTIONS[name].word, parent)
            _prepared(button, name, keys, press)
            self.all.append(button)

    def rename(self, name: str, word: str) -> None:
        """Another word for what an action does now."""
        for button in self.all:
            if button.objectName() == name and button.text() != word:
                button.setText(word)
                button.adjustSize()

    def place_from(self, left: float, top: float, k: float) -> None:
        """Stand in a row from ``left`` on."""
        for button in self.all:
            button.fit(k)
            button.move(int(left), int(top))
            left += button.width() + 12 * k

    def place_to(self, right: float, top: float, k: float, least: float) -> None:
        """Stand in a row that ends at ``right``; what would begin before ``least`` is not shown."""
        for button in reversed(self.all):
            button.fit(k)
            right -= button.width()
            self._no_room = self._no_room - {button} if right >= least else self._no_room | {button}
            _show(button, self._visible and right >= least)
            button.move(int(right), int(top))
            right -= 6 * k

    def set_visible(self, visible: bool) -> None:
        """Show all there is room for, or none."""
        self._visible = visible
        for button in self.all:
            _show(button, visible and button not in self._no_room)
