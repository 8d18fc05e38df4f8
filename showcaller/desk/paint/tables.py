"""A table of words: rows of cells with their tones."""

from typing import Any

from showcaller.desk.natural import natural
from showcaller.desk.paint.colours import colour
from showcaller.desk.qt import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from showcaller.values import Struct

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()


class TableRow(Struct, frozen=True):
    """Cells of text and the tone of each, a name of the theme; those without one are quiet."""

    cells: tuple[str, ...]
    tones: tuple[str, ...] = ("text",)


def in_order(rows: tuple[TableRow, ...], order: tuple[int, bool] | None) -> tuple[TableRow, ...]:
    """Rows by (column, falling), numbers in words as numbers; None: as they are given."""
    if order is None:
        return rows
    column, falling = order
    return tuple(sorted(rows, key=lambda row: natural(row.cells[column]), reverse=falling))


class TextModel(QAbstractTableModel):
    """``columns`` are the names of the columns."""

    def __init__(self, columns: tuple[str, ...], parent: QObject) -> None:
        super().__init__(parent)
        self.columns = columns
        self.rows: tuple[TableRow, ...] = ()
        self._given: tuple[TableRow, ...] = ()
        self._order: tuple[int, bool] | None = None

    def show_rows(self, rows: tuple[TableRow, ...]) -> None:
        """Show these, in the order that was asked for."""
        if rows != self._given:
            self.beginResetModel()
            self._given, self.rows = rows, in_order(rows, self._order)
            self.endResetModel()

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        self.beginResetModel()
        self._order = None if column < 0 else (column, order == Qt.SortOrder.DescendingOrder)
        self.rows = in_order(self._given, self._order)
        self.endResetModel()

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.columns)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row, column = self.rows[index.row()], index.column()
        text = row.cells[column] if column < len(row.cells) else ""
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return text
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return ", ".join(cell for cell in row.cells if cell) if column == 0 else text
        if role == Qt.ItemDataRole.ForegroundRole:
            return colour(row.tones[column] if column < len(row.tones) else "quiet")
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        across = orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole
        return self.columns[section] if across else None
