"""The layers of the look, front first: a real list, two lines a layer, more where its words need them."""

from typing import Any

from showcaller.desk.areas.wall.wallview import LayerRow
from showcaller.desk.paint.paper import LEADING, Paper, wrapped
from showcaller.desk.paint.views import ListView, ToneDelegate
from showcaller.desk.qt import (
    QAbstractItemView,
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPainter,
    QPersistentModelIndex,
    QPoint,
    QResizeEvent,
    QSize,
    QStyle,
    QStyleOptionViewItem,
    Qt,
    QWidget,
    Signal,
)
from showcaller.desk.theme import theme

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
COLUMNS = ("layer", "size", "where and how", "channels")
ROW_PX, GAP_PX = 66, 6
"""A layer's height with the gap under it, px at 1920×1080."""
LINES = 4
"""Of a layer's words at most."""


class LayersModel(QAbstractTableModel):
    """A layer a row. The list shows the first column and paints all of them in it."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: tuple[LayerRow, ...] = ()

    def show_rows(self, rows: tuple[LayerRow, ...]) -> None:
        """Show these."""
        if rows == self.rows:
            return
        same = [row.key for row in rows] == [row.key for row in self.rows]
        if same:
            other = [n for n, row in enumerate(rows) if row != self.rows[n]]
            self.rows = rows
            for n in other:
                self.dataChanged.emit(self.index(n, 0), self.index(n, len(COLUMNS) - 1))
        else:
            self.beginResetModel()
            self.rows = rows
            self.endResetModel()

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row = self.rows[index.row()]
        cells = (row.name, row.size, row.more, row.cost)
        if role == Qt.ItemDataRole.DisplayRole:
            return cells[index.column()]
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            return ", ".join(cells) if index.column() == 0 else cells[index.column()]
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        across = orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole
        return COLUMNS[section] if across else None


class _TwoLines(ToneDelegate):
    """Name and channels over size and inputs."""

    def high(self, row: LayerRow, wide_px: float) -> int:
        """How high a row is in a list so wide, px."""
        k = self.row_px / ROW_PX
        size = max(11.0, theme().sizes["tiny"] * k)
        lines = len(wrapped(row.words, size, wide_px - 28 * k, LINES))
        return self.row_px + int((lines - 1) * size * LEADING)

    def sizeHint(self, option: QStyleOptionViewItem, index: _Index) -> QSize:
        size, view, model = super().sizeHint(option, index), self.parent(), index.model()
        if isinstance(view, LayersList) and isinstance(model, LayersModel):
            size.setHeight(self.high(model.rows[index.row()], view.width()))
        return size

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        model = index.model()
        assert isinstance(model, LayersModel)
        row, box = model.rows[index.row()], option.rect  # type: ignore[attr-defined]
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)  # type: ignore[attr-defined]
        painter.save()
        painter.translate(box.topLeft())
        paper = Paper(painter, box.width(), box.height(), self.row_px / ROW_PX)
        k = paper.px
        high = paper.height - k(GAP_PX)
        paper.fill(0, 0, paper.width, high, "raised" if chosen else "panel")
        if chosen:
            paper.fill(0, 0, k(4), high, "accent")
        cost = paper.text(paper.width - k(12), k(24), row.cost, "small", "quiet", align="right")
        room, tone = paper.width - cost - k(40), "strong" if chosen else "text"
        paper.text(k(14), k(24), row.name, "small", tone, "semibold", room=room)
        tone = "caution" if row.wrong else "quiet"
        paper.wrapped(k(14), k(48), row.words, paper.width - k(28), "tiny", tone, LINES)
        painter.restore()


class LayersList(ListView):
    """``chose`` a layer by what it goes by; ``asked`` for the menu of the one that is chosen."""

    chose = Signal(str)
    asked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Layers, front first", parent)
        self.model_ = LayersModel(self)
        self.setModel(self.model_)
        self._painted = _TwoLines(self)
        self.setItemDelegate(self._painted)
        self.setUniformRowHeights(False)
        for column in range(1, len(COLUMNS)):
            self.setColumnHidden(column, True)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.customContextMenuRequested.connect(self._menu)
        self.clicked.connect(lambda index: self.chose.emit(self.model_.rows[index.row()].key))

    def show_layers(self, rows: tuple[LayerRow, ...], chosen: str | None) -> None:
        """Show these; the chosen one is current and in sight."""
        high = self.highs(self.width())
        self.model_.show_rows(rows)
        if self.highs(self.width()) != high:
            self.scheduleDelayedItemsLayout()
        row = next((n for n, r in enumerate(rows) if r.key == chosen), -1)
        if row < 0:
            if self.currentIndex().isValid() or self.selectionModel().hasSelection():
                self.setCurrentIndex(_NOWHERE)
                self.clearSelection()
        elif self.currentIndex().row() != row:
            self.setCurrentIndex(self.model_.index(row, 0))

    def highs(self, wide_px: int) -> tuple[int, ...]:
        """How high each row is in a list so wide, px."""
        return tuple(self._painted.high(row, wide_px) for row in self.model_.rows)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()  # other words wrap

    def _menu(self, at: QPoint) -> None:
        index = self.indexAt(at)
        if index.isValid():
            self.chose.emit(self.model_.rows[index.row()].key)
            self.asked.emit()
