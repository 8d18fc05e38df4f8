"""The buttons over the strip: each is also a key."""

from collections.abc import Callable

from showcaller.desk.actions import ACTIONS
from showcaller.desk.keys import Keys, buttons_of
from showcaller.desk.qt import QPushButton, Qt, QWidget
from showcaller.desk.theme import theme


class Buttons:
    """Real buttons, so that Tab reaches them and a screen reader names them."""

    def __init__(self, parent: QWidget, keys: Keys, press: Callable[[str], None]) -> None:
        self._press = press
        self._keys = keys
        self.all = [self._button(name, parent) for name in buttons_of("Book")]

    def _button(self, name: str, parent: QWidget) -> QPushButton:
        key, short, words = self._keys[name], ACTIONS[name].word, ACTIONS[name].does
        button = QPushButton(short, parent)
        button.setAccessibleName(f"{short}: {words}")
        button.setToolTip(f"{words}  ({key})")
        # A click must not take the focus from the show's keys.
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.setFlat(True)
        button.clicked.connect(lambda: self._press(name.rpartition(".")[2]))
        return button

    def place(self, width: float, k: float) -> None:
        """Stand at the right, at scale ``k``."""
        right = width - 28 * k
        for button in reversed(self.all):
            button.setStyleSheet(
                f"QPushButton {{ color: {theme().text}; background: {theme().raised}; border: none;"
                f" padding: {4 * k:.0f}px {12 * k:.0f}px; font: 500 {max(11, 17 * k):.0f}px Inter; }}"
                f" QPushButton:hover {{ background: {theme().line}; }}"
                f" QPushButton:focus {{ border: 1px solid {theme().accent}; }}"
            )
            button.adjustSize()
            right -= button.width()
            button.move(int(right), int(24 * k))
            right -= 8 * k
