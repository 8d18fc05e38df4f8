"""The menu bar and the menus of a right click, made from the table of actions."""

from collections.abc import Callable

from showcaller.desk.actions import ACTIONS, CONTEXT, MENUS
from showcaller.desk.keys import Keys
from showcaller.desk.qt import (
    QAction,
    QActionGroup,
    QApplication,
    QKeySequence,
    QMainWindow,
    QMenu,
    QMenuBar,
    QPoint,
    Qt,
    QWidget,
)
from showcaller.desk.theme import theme
from showcaller.model import Show

_MNEMONIC = {"Call": 1, "Clock": 2, "Seat": 3}
"""The letter that opens a menu with Alt, where it is not the first."""


class Menus:
    """``do`` does an action by its id, ``why_not`` says in words why one cannot be done now, or None."""

    def __init__(
        self, window: QMainWindow, keys: Keys, do: Callable[[str], None], why_not: Callable[[str], str | None]
    ) -> None:
        self._why_not, self._keys = why_not, keys
        self.named: Callable[[str], str] = lambda name: ACTIONS[name].word
        """How an entry is called in the show that is open."""
        self.actions = {a: self._action(window, keys, a, do) for a in ACTIONS}
        self._window = window
        self.bar = QMenuBar(window)
        self.bar.setNativeMenuBar(False)
        self.bar.setAccessibleName("Menu")
        self._menus = {name: self._menu(name) for name in MENUS}
        window.setMenuBar(self.bar)
        self._called = False

    @staticmethod
    def _action(window: QWidget, keys: Keys, name: str, do: Callable[[str], None]) -> QAction:
        action, chords = QAction(ACTIONS[name].word, window), keys.chords(name)
        # Shown, not heard: the window hears keys itself, since one press must be one go.
        action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        action.setShortcuts([QKeySequence(chord) for chord in chords])
        action.setToolTip(ACTIONS[name].does)
        action.setStatusTip(ACTIONS[name].does)
        action.setObjectName(name)
        action.triggered.connect(lambda: do(name))
        return action

    def _menu(self, name: str) -> QMenu:
        at = _MNEMONIC.get(name, 0)
        menu = self.bar.addMenu(f"{name[:at]}&{name[at:]}")
        menu.setToolTipsVisible(True)
        for action in ACTIONS.values():
            if action.menu == name:
                menu.addAction(self.actions[action.id])
        menu.aboutToShow.connect(lambda: self._freshen(menu))
        return menu

    def _freshen(self, menu: QMenu) -> None:
        for action in menu.actions():
            name = action.objectName()
            if name in ACTIONS:
                why = self._why_not(name)
                action.setText(self.named(name))
                action.setShortcuts([QKeySequence(chord) for chord in self._keys.chords_here(name)])
                action.setEnabled(why is None)
                action.setToolTip(why or ACTIONS[name].does)

    def choice(
        self, menu: str, title: str, names: tuple[str, ...], now: str, choose: Callable[[str], None]
    ) -> None:
        """Add a choice of one among several to a menu, such as the profile of keys."""
        part = self._menus[menu].addMenu(title)
        group = QActionGroup(part)
        for name in names:
            action = part.addAction(name)
            action.setCheckable(True)
            action.setChecked(name == now)
            group.addAction(action)
            action.triggered.connect(lambda _=False, name=name: choose(name))

    def check(self, name: str, on: bool) -> None:
        """Show that an action is the one in use."""
        self.actions[name].setCheckable(True)
        self.actions[name].setChecked(on)

    def look(self, hidden: bool) -> None:
        """Called at every frame: while ``hidden`` the bar is there only when it was called for."""
        left = self._window.focusWidget() is self.bar  # there the next letter opens a menu and calls nothing
        if left and QApplication.activePopupWidget() is None:
            # Escape has closed a menu: Qt would keep the keys in the bar until it is pressed once more.
            self.bar.setActiveAction(None)  # type: ignore[arg-type]
        if self.bar.activeAction() is None and (self._called or left):
            self._called = False
            if left:
                self._window.setFocus()
        wanted = not hidden or self._called
        if self.bar.isHidden() == wanted:
            self.bar.setVisible(wanted)

    def fit(self, k: float) -> None:
        """As large as the desk's scale has it."""
        t = theme()
        high, size = int(39 * k), max(12, round(19 * k))
        beside = max(2, (high - round(1.21 * size)) // 2)
        self.bar.setStyleSheet(
            f"QMenuBar {{ background: {t.panel}; color: {t.text}; font: 500 {size}px Inter; }}"
            f"QMenuBar::item {{ padding: {beside}px {14 * k:.0f}px; background: transparent; }}"
            f"QMenuBar::item:selected {{ background: {t.line}; }}"
        )
        # An entry fills the bar, so that its menu hangs below it; but Qt paints none that is a pixel higher.
        self.bar.ensurePolished()
        entry = self.bar.actionGeometry(self.bar.actions()[0])
        self.bar.setFixedHeight(max(high, entry.bottom() + 1))

    def call(self) -> None:
        """Bring the bar and go into its first menu."""
        self._called = True
        self.bar.setVisible(True)
        self.bar.setFocus(Qt.FocusReason.MenuBarFocusReason)
        self.bar.setActiveAction(self.bar.actions()[0])

    def context(self, what: str, parent: QWidget, at: QPoint) -> QMenu:
        """Open the menu of a thing that was clicked, at a point of the screen."""
        menu = QMenu(parent)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.setToolTipsVisible(True)
        menu.addActions([self.actions[name] for name in CONTEXT[what]])
        self._freshen(menu)
        menu.popup(at)
        return menu


def named_in(show: Show, name: str) -> str:
    """The word of an action in a show: a clearance is called by its own name."""
    number = name.removeprefix("clear")
    if number != name and number.isdecimal() and int(number) <= len(show.clearances):
        return f"clear: {show.clearances[int(number) - 1].name} (twice)"
    return ACTIONS[name].word
