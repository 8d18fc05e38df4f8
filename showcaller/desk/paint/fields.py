"""A form as a table of Qt: a field a row, its name, its text, and what may stand beside it."""

from dataclasses import dataclass
from typing import Any

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import font
from showcaller.desk.paint.views import TEXT_PX, ListView
from showcaller.desk.qt import (
    QAbstractTableModel,
    QHeaderView,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QRectF,
    Qt,
    QWheelEvent,
    QWidget,
    Signal,
)

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
COLUMNS = ("field", "value", "more")
_LABEL, _VALUE, _MORE = range(3)
EMPTY = "–"
"""Stands where nothing is typed yet."""


@dataclass(frozen=True, slots=True)
class FieldRow:
    """A field as it is shown; ``more`` stands beside its text, ``tone`` is a name of the theme."""

    key: str
    label: str
    text: str
    hint: str
    more: str = ""
    tone: str = "text"

    @property
    def spoken(self) -> str:
        """For a screen reader."""
        return f"{self.label or 'sends'}: {self.text or 'empty'}"


class FieldsModel(QAbstractTableModel):
    """A field a row."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: tuple[FieldRow, ...] = ()
        self.type_px = 16.0

    def show_rows(self, rows: tuple[FieldRow, ...]) -> None:
        """Show these."""
        if rows == self.rows:
            return
        before = self.rows
        if rows and [row.key for row in rows] == [row.key for row in before]:
            self.rows = rows
            other = [n for n, row in enumerate(rows) if row != before[n]]
            self.dataChanged.emit(self.index(other[0], 0), self.index(other[-1], _MORE))
        else:
            self.beginResetModel()
            self.rows = rows
            self.endResetModel()

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row, column = self.rows[index.row()], index.column()
        text = row.text.replace("\n", " / ")
        if role == Qt.ItemDataRole.DisplayRole:
            return (row.label, text or EMPTY, row.more)[column]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return (row.spoken, text, row.more)[column]
        if role == Qt.ItemDataRole.ToolTipRole:
            return row.hint
        if role == Qt.ItemDataRole.ForegroundRole:
            return colour("quiet" if column != _VALUE else row.tone if text else "faint")
        if role == Qt.ItemDataRole.FontRole and column == _MORE:
            return font(self.type_px * 0.9)
        if role == Qt.ItemDataRole.TextAlignmentRole and column == _MORE:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        across = orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole
        return COLUMNS[section] if across else None


class FieldsView(ListView):
    """``opened`` the field of this key, to be typed into."""

    opened = Signal(str)

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(name, parent)
        self.model_ = FieldsModel(self)
        self.setModel(self.model_)
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(_VALUE, QHeaderView.ResizeMode.Stretch)
        self.clicked.connect(lambda index: self.opened.emit(self.model_.rows[index.row()].key))

    def show_rows(self, rows: tuple[FieldRow, ...]) -> None:
        """Show these fields."""
        self.model_.show_rows(rows)
        self.setColumnHidden(_MORE, not any(row.more for row in rows))
        self.clearSelection()

    def place(self, box: QRect, label_px: int, row_px: int, type_px: float) -> None:
        """Stand here, the names so wide, the rows so high."""
        self.model_.type_px = type_px
        self.fit(type_px, row_px)
        self.setGeometry(box)
        self.setColumnWidth(_LABEL, label_px)
        self.setColumnWidth(_MORE, int((box.width() - label_px) * 0.45))

    def value_box(self, key: str) -> QRectF | None:
        """Where a field's text stands, px of the parent; None if it is not here."""
        at = next((n for n, row in enumerate(self.model_.rows) if row.key == key), None)
        if at is None:
            return None
        index = self.model_.index(at, _VALUE)
        self.scrollTo(index)
        box = QRectF(self.visualRect(index).translated(self.pos()))
        box.setLeft(box.left() + TEXT_PX)
        box.setRight(self.geometry().right())
        return box

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.verticalScrollBar().maximum() > 0:
            super().wheelEvent(event)
        else:
            event.ignore()  # it is for what lies behind
