"""The list beside the recording: cues, items, notes and the rest as rows of a real table."""

from typing import Any

from showcaller.desk.areas.drift.lists import DECIDE, SCALES, Row
from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.views import ListView, ToneDelegate
from showcaller.desk.qt import (
    QAbstractItemView,
    QAbstractTableModel,
    QHeaderView,
    QModelIndex,
    QObject,
    QPainter,
    QPersistentModelIndex,
    QPoint,
    QRectF,
    QStyleOptionViewItem,
    Qt,
    QWidget,
    Signal,
)

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
COLUMNS = ("what", "how it went", "early or late", "by")
_WORDS, _BAR, _FIGURE = 1, 2, 3

_FEW = 200
"""Names of so many rows are measured for their column."""


class RecordModel(QAbstractTableModel):
    """A row of the record a row; the bar's column has its share, full at −1 and 1, as data for painting."""

    sort_asked = Signal(int, bool)
    """(column, falling): it sorts nothing itself; column −1 asks for the order in which it happened."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: tuple[Row, ...] = ()
        self.figures = COLUMNS[_FIGURE]
        """What the last column is called."""
        self.scale = ""
        """What a full bar is; every bar of a page has the same."""

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        self.sort_asked.emit(column, order == Qt.SortOrder.DescendingOrder)

    def show_rows(self, rows: tuple[Row, ...]) -> None:
        """Show these."""
        if rows is not self.rows:
            self.beginResetModel()
            self.rows = rows
            self.endResetModel()

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row, column = self.rows[index.row()], index.column()
        cells = (row.name, row.words, "", row.figure)
        if role == Qt.ItemDataRole.DisplayRole:
            return cells[column]
        if role == Qt.ItemDataRole.AccessibleTextRole and column == 0:
            return ", ".join(text.strip() for text in cells if text.strip())
        if role == Qt.ItemDataRole.ToolTipRole:
            cut = column == _BAR and row.bar and abs(row.share) > 1
            return f"cut: the bars end at {self.scale}; it is {row.figure}" if cut else cells[column] or None
        if role == Qt.ItemDataRole.UserRole:
            return row.share
        if role == Qt.ItemDataRole.ForegroundRole:
            loud = row.tone in ("missed", "caution")
            return colour("quiet" if column == _WORDS and not loud else row.tone)
        if role == Qt.ItemDataRole.TextAlignmentRole and column == _FIGURE:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def _cut(self) -> bool:
        return any(abs(row.share) > 1 for row in self.rows)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if role == Qt.ItemDataRole.TextAlignmentRole and section == _FIGURE:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        across = orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole
        if across and section == _BAR and self.scale:
            return f"{self.scale} · //" if self._cut() else self.scale
        if role == Qt.ItemDataRole.ToolTipRole and section == _BAR and self._cut():
            return f"a bar with // goes beyond {self.scale}"
        if across and section == _FIGURE:
            return self.figures
        return COLUMNS[section] if across else None


class _Marks(ToneDelegate):
    """The department's shape before a name, and the bar of how early or late."""

    def initStyleOption(self, option: QStyleOptionViewItem, index: _Index) -> None:
        super().initStyleOption(option, index)
        if index.column() == 0 and self._row(index).department is not None:
            option.rect.adjust(int(option.rect.height() * 0.8), 0, 0, 0)  # type: ignore[attr-defined]

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        super().paint(painter, option, index)
        row, box = self._row(index), option.rect  # type: ignore[attr-defined]
        paper = Paper(painter, box.width(), box.height(), box.height() / 31)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = box.top() + box.height() / 2
        if index.column() == 0 and row.department is not None:
            paper.sign(box.left() + box.height() * 0.5, middle, row.department, row.tone == "text", 8)
        if index.column() == _BAR and row.bar:
            _bar(paper, box.left() + box.width() / 2, middle, box.width() * 0.42, row.share)
        painter.restore()

    @staticmethod
    def _row(index: _Index) -> Row:
        model = index.model()
        assert isinstance(model, RecordModel)
        return model.rows[index.row()]


class RecordList(ListView):
    """``chose`` a row; ``asked`` for the menu of the one that is chosen; ``sorted`` by (column, falling)."""

    chose = Signal(int)
    asked = Signal()
    sort_asked = Signal(int, bool)

    def __init__(self, parent: QWidget) -> None:
        super().__init__("What happened", parent)
        self.copied_columns = (0, _WORDS, _FIGURE)
        self.model_ = RecordModel(self)
        self.setModel(self.model_)
        self.setItemDelegate(_Marks(self))
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.show_header()
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.header().setSectionResizeMode(_WORDS, QHeaderView.ResizeMode.Stretch)
        self.model_.sort_asked.connect(self.sort_asked)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.customContextMenuRequested.connect(self._menu)
        self.clicked.connect(lambda index: self.chose.emit(index.row()))
        self._fitted: tuple[str, int, int] = ("", 0, 0)
        self.hide()

    def place(self, box: QRectF, k: float) -> None:
        """Stand in a part of the area, at a scale."""
        row = int(31 * k)
        self.fit(18 * k, row)
        box.setHeight(max(2 * row, box.height() // row * row))  # no half line at the foot
        self.setGeometry(box.toRect())

    def show_page(
        self, page: str, rows: tuple[Row, ...], chosen: int, order: tuple[int, bool] | None = None
    ) -> None:
        """Show a page of the record, sorted by an order, the chosen line in sight; gone without rows."""
        self.setVisible(bool(rows))
        self.setAccessibleName(f"What happened: {'messages' if page == 'sent' else page}")
        self.model_.scale = SCALES.get(page, "")
        self.model_.figures = "change" if page == DECIDE else COLUMNS[_FIGURE]
        self.model_.show_rows(rows)
        self._show_order(order)
        self._columns(page, rows)
        if self.currentIndex().row() != chosen and chosen < len(rows):
            self.setCurrentIndex(self.model_.index(chosen, 0))

    def _show_order(self, order: tuple[int, bool] | None) -> None:
        column, falling = order or (-1, False)
        way = Qt.SortOrder.DescendingOrder if falling else Qt.SortOrder.AscendingOrder
        header = self.header()
        if (header.sortIndicatorSection(), header.sortIndicatorOrder()) != (column, way):
            blocked = header.blockSignals(True)
            header.setSortIndicator(column, way)
            header.blockSignals(blocked)

    def _columns(self, page: str, rows: tuple[Row, ...]) -> None:
        """Usual widths for a page at this size; what a hand has made of them stays until either changes."""
        width = self.viewport().width()
        longest = max((len(row.name) for row in rows), default=0) if len(rows) <= _FEW else 0
        if self._fitted == (page, width, longest):
            return
        self._fitted = (page, width, longest)
        self.setColumnHidden(_BAR, not any(row.bar for row in rows))
        most = int(width * (0.40 if page in ("items", "tour") else 0.27))
        # What is said of it is what decides: a short name leaves it the room.
        self.setColumnWidth(0, min(most, self.sizeHintForColumn(0) + 8) if len(rows) <= _FEW else most)
        self.setColumnWidth(_BAR, int(width * 0.16))
        figures = any(row.figure for row in rows)
        self.setColumnHidden(_FIGURE, not figures)
        self.setColumnWidth(_FIGURE, int(width * 0.14))

    def _menu(self, at: QPoint) -> None:
        index = self.indexAt(at)
        if index.isValid():
            self.chose.emit(index.row())
            self.asked.emit()


def _bar(paper: Paper, middle: float, y: float, reach: float, share: float) -> None:
    k = paper.px
    paper.line(middle, y - k(9), middle, y + k(9), "faint", 1)
    if abs(share) <= 0.01:
        return
    full, tone = max(-1.0, min(1.0, share)) * reach, "over" if share > 0 else "under"
    paper.fill(min(middle, middle + full), y - k(6), abs(full), k(12), tone)
    if abs(share) > 1:  # cut: two strokes across its end, as on a broken axis
        for step in (0.72, 0.82):
            x = middle + full * step
            paper.line(x - k(3), y + k(9), x + k(3), y - k(9), "ground", 2)
