"""Type what you want: every action by its words, each with its key; or only the keys of the area in front."""

from collections.abc import Callable, Iterator

from showcaller.desk.actions import ACTIONS
from showcaller.desk.keys import Keys, key_lines, shown
from showcaller.desk.paint.paper import font
from showcaller.desk.qt import (
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QKeyEvent,
    QLineEdit,
    QRect,
    QStandardItem,
    QStandardItemModel,
    Qt,
    QTreeView,
    QVBoxLayout,
    QWidget,
)
from showcaller.desk.theme import theme

_LITTLE = ("the", "a", "an", "to", "of")
"""Words that say nothing: "open the show" is "open show"."""


def matches(words: str) -> list[str]:
    """Ids of the actions that fit all of what is typed, in any order; those that begin with it first."""
    parts = [word for word in words.lower().split() if word not in _LITTLE]

    def fits(name: str) -> bool:
        action = ACTIONS[name]
        words = (action.word, action.does, action.menu, *action.where, name)
        text = " ".join(words).lower()
        return all(part in text for part in parts)

    found = [name for name in ACTIONS if fits(name) and name not in ("palette", "leave")]
    whole = " ".join(parts)
    return sorted(found, key=lambda n: (not ACTIONS[n].menu, not ACTIONS[n].word.lower().startswith(whole)))


class Palette(QFrame):
    """A line to type in over a list. Enter does the chosen one, Escape leaves."""

    def __init__(
        self, parent: QWidget, keys: Keys, do: Callable[[str], None], why_not: Callable[[str], str | None]
    ) -> None:
        super().__init__(parent)
        self._keys, self._do, self._why_not = keys, do, why_not
        self._keys_in = ""
        self.edit = _Line(self)
        self.model = QStandardItemModel(0, 3, self)
        self.model.setHorizontalHeaderLabels(["action", "what it does", "key"])
        self.list = QTreeView(self)
        self.list.setModel(self.model)
        self.list.setRootIsDecorated(False)
        self.list.setUniformRowHeights(True)
        self.list.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.list.setAccessibleName("Actions")
        self.list.header().setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        self.list.header().setStretchLastSection(False)
        self.list.setHeaderHidden(True)
        layout = QVBoxLayout(self)
        layout.addWidget(self.edit)
        layout.addWidget(self.list)
        self.setStyleSheet(
            f"Palette {{ background: {theme().raised}; border: 1px solid {theme().line}; }}"
            f"QLineEdit {{ background: {theme().ground}; color: {theme().strong}; border: none; }}"
            f"QLineEdit {{ padding: 8px; }} QTreeView {{ border: none; outline: none; }}"
            f"QTreeView {{ background: {theme().raised}; color: {theme().text}; }}"
            f"QTreeView::item {{ padding: 3px 6px; }}"
            f"QTreeView::item:disabled {{ color: {theme().quiet}; }}"
            f"QTreeView::item:selected {{ background: {theme().line}; color: {theme().strong}; }}"
        )
        self.free: Callable[[], QRect | None] = lambda: None
        """The part of the window where nothing is called or asked; None for all of it."""
        self.edit.textChanged.connect(self._fill)
        self.edit.returnPressed.connect(self._enter)
        self.list.clicked.connect(lambda _: self._enter())
        self.hide()

    def open(self, area: str = "") -> None:
        """Show all actions and wait for what is typed; with an ``area`` its keys, where Enter only closes."""
        self._keys_in = area
        what = (
            f"keys in {area}: type to find one; Enter or Escape closes"
            if area
            else "type what you want to do"
        )
        self.edit.setPlaceholderText(what)
        self.edit.setAccessibleName(f"Keys in {area}" if area else "Find an action")
        self.place()
        self.edit.clear()
        self._fill("")
        self.show()
        self.raise_()
        self.edit.setFocus()

    def place(self) -> None:
        """Lie at the foot of the window, at its scale, over nothing that is called or asked."""
        parent = self.parentWidget()
        assert parent is not None
        k = max(0.6, min(parent.width() / 1920, parent.height() / 1080))
        free = self.free() or parent.rect()
        width, height = min(int(1240 * k), parent.width() - 40), min(int(520 * k), parent.height() // 2 - 20)
        foot = free.bottom() + 1 - int(16 * k)
        top = max(foot - height, free.top())
        self.setGeometry((parent.width() - width) // 2, top, width, foot - top)
        self.edit.setFont(font(26 * k))
        self.list.setFont(font(max(13.0, 20 * k)))

    def leave(self) -> None:
        """Close without doing anything."""
        self.hide()
        self.window().setFocus()

    def take(self, event: QKeyEvent) -> None:
        """A key that was pressed while it is open, wherever the focus was."""
        self.edit.setFocus()
        self.edit.keyPressEvent(event)

    def walk(self, by: int) -> None:
        """Choose the line so many further on."""
        row = max(0, min(self.model.rowCount() - 1, self.list.currentIndex().row() + by))
        self.list.setCurrentIndex(self.model.index(row, 0))

    def _fill(self, words: str) -> None:
        self.model.removeRows(0, self.model.rowCount())
        for row in self._keys_of(words) if self._keys_in else self._actions(words):
            self.model.appendRow(row)
        self.list.resizeColumnToContents(0)
        self.list.resizeColumnToContents(2)
        if words.strip():
            self.walk(0)  # with nothing typed nothing is chosen: Enter alone does nothing, least of all a go

    def _actions(self, words: str) -> Iterator[list[QStandardItem]]:
        for name in matches(words):
            action, why = ACTIONS[name], self._why_not(name)
            chords = " or ".join(shown(c) for c in self._keys.chords_here(name))
            twice = f"{chords}, twice" if action.twice else chords
            area = action.where[0] if action.where[0] not in ("run", "desk") else ""
            cells = [QStandardItem(t) for t in (action.word, why or action.does, f"{area} {twice}".strip())]
            for cell in cells:
                cell.setEnabled(why is None)
            cells[0].setData(name)
            yield cells

    def _keys_of(self, words: str) -> Iterator[list[QStandardItem]]:
        for menu, lines in key_lines(self._keys, self._keys_in):
            for key, does in lines:
                if all(word in f"{menu} {key} {does}".lower() for word in words.lower().split()):
                    yield [QStandardItem(text) for text in (menu, does, key)]

    def _enter(self) -> None:
        row = self.list.currentIndex().row()
        chosen = self.model.item(row, 0) if row >= 0 else None
        if self._keys_in:
            self.leave()
        elif chosen is not None and chosen.isEnabled():
            self.leave()
            self._do(str(chosen.data()))


class _Line(QLineEdit):
    def keyPressEvent(self, event: QKeyEvent) -> None:
        palette = self.parentWidget()
        assert isinstance(palette, Palette)
        steps = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_PageUp: -10, Qt.Key.Key_PageDown: 10}
        if event.key() == Qt.Key.Key_Escape:
            palette.leave()
        elif event.key() in steps:
            palette.walk(steps[Qt.Key(event.key())])
        else:
            super().keyPressEvent(event)
        event.accept()  # what is typed here is never a key of the desk
