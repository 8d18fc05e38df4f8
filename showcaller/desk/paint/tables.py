"""A table of words: rows of cells with their tones."""

from dataclasses import dataclass
from typing import Any

from showcaller.desk.paint.colours import colour
from showcaller.desk.qt import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()


@dataclass(frozen=True, slots=True)
class TableRow:
    """Cells of text and the tone of each, a name of the theme; those without one are quiet."""

    cells: tuple[str, ...]
    tones: tuple[str, ...] = ("text",)


class TextModel(QAbstractTableModel):
    """``columns`` are the names of the columns."""

    def __init__(self, columns: tuple[str, ...], parent: QObject) -> None:
        super().__init__(parent)
        self.columns = columns
        self.rows: tuple[TableRow, ...] = ()

    def show_rows(self, rows: tuple[TableRow, ...]) -> None:
        """Show these."""
        if rows != self.rows:
            self.beginResetModel()
            self.rows = rows
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
