"""A form as a table of Qt: a field a row, its name, its text, and what may stand beside it."""

from typing import Any

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import LEADING, font, wrapped
from showcaller.desk.paint.views import TEXT_PX, ListView, ToneDelegate
from showcaller.desk.qt import (
    QAbstractTableModel,
    QHeaderView,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    QStyleOptionViewItem,
    Qt,
    QWheelEvent,
    QWidget,
    Signal,
)
from showcaller.values import Struct

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
COLUMNS = ("field", "value", "more")
_LABEL, _VALUE, _MORE = range(3)
EMPTY = "–"
"""Stands where nothing is typed yet."""


class FieldRow(Struct, frozen=True):
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


class _Wrapped(ToneDelegate):
    """Rows as high as their text needs."""

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:
        size, view = super().sizeHint(option, index), self.parent()
        if isinstance(view, FieldsView):
            size.setHeight(view.row_high(index.row()))
        return size


class FieldsView(ListView):
    """``opened`` the field of this key, to be typed into. With ``wraps`` a text that is too long for its line
    takes more of them."""

    opened = Signal(str)

    def __init__(self, name: str, parent: QWidget, wraps: bool = False) -> None:
        super().__init__(name, parent)
        if wraps:
            self.setUniformRowHeights(False)
            self.setWordWrap(True)
            self.setItemDelegate(_Wrapped(self))
        self._text_px = 0
        self.model_ = FieldsModel(self)
        self.setModel(self.model_)
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(_VALUE, QHeaderView.ResizeMode.Stretch)
        self.clicked.connect(lambda index: self.opened.emit(self.model_.rows[index.row()].key))

    def show_rows(self, rows: tuple[FieldRow, ...]) -> None:
        """Show these fields."""
        high = self.all_high() if self.wordWrap() else 0
        self.model_.show_rows(rows)
        if self.wordWrap() and self.all_high() != high:
            self.scheduleDelayedItemsLayout()
        self.setColumnHidden(_MORE, not any(row.more for row in rows))
        self.clearSelection()

    def place(self, box: QRect, label_px: int, row_px: int, type_px: float) -> None:
        """Stand here, the names so wide, the rows so high."""
        self.measure(box.width(), label_px, row_px, type_px)
        self.setGeometry(box)
        self.setColumnWidth(_LABEL, label_px)
        self.setColumnWidth(_MORE, int((box.width() - label_px) * 0.45))

    def measure(self, wide_px: int, label_px: int, row_px: int, type_px: float) -> None:
        """What the height of rows depends on, before it is known where they stand."""
        self.model_.type_px = type_px
        room = wide_px - label_px - 2 * TEXT_PX
        if room != self._text_px:
            self._text_px = room
            self.scheduleDelayedItemsLayout()
        self.fit(type_px, row_px)

    def row_high(self, row: int) -> int:
        """How high a row is, px."""
        delegate = self.itemDelegate()
        high = delegate.row_px if isinstance(delegate, ToneDelegate) else 0
        if not self.wordWrap():
            return high
        size = self.model_.type_px
        lines = len(wrapped(self.model_.rows[row].text, size, self._text_px)) or 1
        return high + int((lines - 1) * size * LEADING)

    def all_high(self) -> int:
        """How high all rows are together, px."""
        return sum(self.row_high(n) for n in range(len(self.model_.rows)))

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
        delegate = self.itemDelegate()
        if self.wordWrap() and isinstance(delegate, ToneDelegate):
            box.setHeight(min(box.height(), delegate.row_px))  # typed in one line
        return box

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.verticalScrollBar().maximum() > 0:
            super().wheelEvent(event)
        else:
            event.ignore()  # it is for what lies behind
