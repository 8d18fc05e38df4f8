"""The running order: a real list of items with planned lengths; chosen, dragged, copied as text."""

from typing import Any

from showcaller.calling.wording import span
from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.views import PADDING_PX, TEXT_PX, ListView
from showcaller.desk.qt import (
    QAbstractItemView,
    QAbstractTableModel,
    QMimeData,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPoint,
    QResizeEvent,
    Qt,
    QWidget,
    Signal,
)
from showcaller.model import Item, Show
from showcaller.model.base import kept_with_part
from showcaller.values import Struct

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
_ROW = "application/x-showcaller-item"


class OrderLine(Struct, frozen=True):
    """An item as the running order shows it."""

    id: str
    name: str
    length: str
    out: bool
    doubts: tuple[str, ...] = ()
    """What an import was not sure of, and nobody has confirmed yet."""

    @property
    def spoken(self) -> str:
        """For a screen reader, and under the mouse."""
        doubts = f"; to confirm: {'; '.join(self.doubts)}" if self.doubts else ""
        return f"{self.name}, {self.length}{', cut tonight' if self.out else ''}{doubts}"


@kept_with_part
def order_lines(show: Show) -> tuple[OrderLine, ...]:
    """The running order of a show."""
    return tuple([_line(item) for item in show.items])


@kept_with_part
def _line(item: Item) -> OrderLine:
    """An item's line; remembered, as an edit leaves all but one item as they are."""
    return OrderLine(
        item.id,
        f"or: {item.name}" if item.instead_of is not None else item.name,
        ("? " if item.doubts else "") + (f"out {span(item.length_s)}" if item.out else span(item.length_s)),
        item.out,
        item.doubts,
    )


class OrderModel(QAbstractTableModel):
    """Two columns: item, planned length. A drop asks for a move by ``dropped``; it moves nothing itself."""

    dropped = Signal(int, int)
    """(from, to): the row that is dragged, and the row before which it was let go."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.lines: tuple[OrderLine, ...] = ()

    def show_lines(self, lines: tuple[OrderLine, ...]) -> None:
        """Show these."""
        if lines == self.lines:
            return
        before = self.lines
        if [line.id for line in lines] == [line.id for line in before]:
            self.lines = lines
            other = [n for n, line in enumerate(lines) if line is not before[n] and line != before[n]]
            self.dataChanged.emit(self.index(other[0], 0), self.index(other[-1], 1))
        else:
            self.beginResetModel()
            self.lines = lines
            self.endResetModel()

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else 2

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        line = self.lines[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return line.length if index.column() else line.name
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return line.length if index.column() else line.spoken
        if role == Qt.ItemDataRole.ToolTipRole:
            return line.spoken
        if role == Qt.ItemDataRole.ForegroundRole and (line.out or index.column()):
            asks = line.doubts and index.column()
            return colour("faint" if line.out else "caution" if asks else "quiet")
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column():
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole and section:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return ("running order", "length")[section] if role == Qt.ItemDataRole.DisplayRole else None

    def flags(self, index: _Index) -> Qt.ItemFlag:
        usual = super().flags(index)
        return usual | (Qt.ItemFlag.ItemIsDragEnabled if index.isValid() else Qt.ItemFlag.ItemIsDropEnabled)

    def supportedDropActions(self) -> Qt.DropAction:
        return Qt.DropAction.MoveAction

    def mimeTypes(self) -> list[str]:
        return [_ROW, "text/plain"]

    def mimeData(self, indexes: Any) -> QMimeData:
        rows = sorted({index.row() for index in indexes})
        data = QMimeData()
        data.setData(_ROW, str(rows[0]).encode())
        data.setText("\n".join(f"{self.lines[row].name}\t{self.lines[row].length}" for row in rows))
        return data

    def dropMimeData(
        self, data: QMimeData, _action: Qt.DropAction, row: int, _c: int, parent: _Index
    ) -> bool:
        if data.hasFormat(_ROW):
            to = parent.row() if parent.isValid() else row if row >= 0 else len(self.lines)
            self.dropped.emit(int(bytes(data.data(_ROW).data())), to)
        return False  # the edit moves it, and the model follows the show


class OrderList(ListView):
    """Emits what a hand wants: ``chose`` an item, ``typed`` into it, ``moved`` it, ``asked`` for its menu."""

    chose = Signal(str)
    typed = Signal(str)
    moved = Signal(str, int)
    """(item, by how many places)."""
    asked = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Running order", parent)
        self.model_ = OrderModel(self)
        self.setModel(self.model_)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.setDropIndicatorShown(True)
        # Its order is the show's: columns can be made wider, and nothing here sorts them.
        self.show_header()
        self.setSortingEnabled(False)
        self.header().setSectionsClickable(False)
        self._shared: tuple[int, int] = (0, 0)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.customContextMenuRequested.connect(self._menu)
        self.clicked.connect(lambda index: self.chose.emit(self.model_.lines[index.row()].id))
        self.doubleClicked.connect(lambda index: self.typed.emit(self.model_.lines[index.row()].id))
        self.model_.dropped.connect(self._dropped)

    def show_order(self, lines: tuple[OrderLine, ...], chosen: str) -> None:
        """Show these items; the chosen one is current and in sight."""
        self.model_.show_lines(lines)
        self._share()
        row = next((n for n, line in enumerate(lines) if line.id == chosen), -1)
        if row >= 0 and self.currentIndex().row() != row:
            self.setCurrentIndex(self.model_.index(row, 0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._share()

    def _share(self) -> None:
        """Room for the longest length, the rest for names; a hand's width stays until a length needs more."""
        wide = self.fontMetrics().horizontalAdvance
        needed = max((wide(text) for text in {line.length for line in self.model_.lines}), default=0)
        share = self.viewport().width(), needed + 2 * TEXT_PX + PADDING_PX
        if share != self._shared:
            self._shared = share
            # The last column fills what is left, and is never less than this.
            self.header().setMinimumSectionSize(share[1])
            self.setColumnWidth(1, share[1])
            self.setColumnWidth(0, max(1, share[0] - share[1]))

    def _menu(self, at: QPoint) -> None:
        index = self.indexAt(at)
        if index.isValid():
            self.asked.emit(self.model_.lines[index.row()].id)

    def _dropped(self, start: int, to: int) -> None:
        by = (to if to <= start else to - 1) - start
        if by:
            self.moved.emit(self.model_.lines[start].id, by)
