"""The list beside the recording: cues, items, notes and the rest as rows of a real table."""

from typing import Any

from showcaller.desk.areas.drift.lists import Row
from showcaller.desk.paint.paper import Paper, colour
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


class RecordModel(QAbstractTableModel):
    """A row of the record a row; the bar's column has its share, −1 to 1, as data for painting."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: tuple[Row, ...] = ()

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
            return cells[column] or None
        if role == Qt.ItemDataRole.UserRole:
            return row.share
        if role == Qt.ItemDataRole.ForegroundRole:
            loud = row.tone in ("missed", "caution")
            return colour("quiet" if column == _WORDS and not loud else row.tone)
        if role == Qt.ItemDataRole.TextAlignmentRole and column == _FIGURE:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        across = orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole
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
    """``chose`` a row; ``asked`` for the menu of the one that is chosen."""

    chose = Signal(int)
    asked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__("What happened", parent)
        self.model_ = RecordModel(self)
        self.setModel(self.model_)
        self.setItemDelegate(_Marks(self))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # Tab turns the pages here
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(_WORDS, QHeaderView.ResizeMode.Stretch)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.customContextMenuRequested.connect(self._menu)
        self.clicked.connect(lambda index: self.chose.emit(index.row()))
        self.hide()

    def place(self, box: QRectF, k: float, page: str, rows: tuple[Row, ...], chosen: int) -> None:
        """Show a page in a part of the area, at a scale; gone while there are no rows."""
        self.fit(18 * k, int(31 * k))
        step = int(31 * k)
        box.setHeight(max(step, box.height() // step * step))  # no half line at the foot
        self.setGeometry(box.toRect())
        self.setVisible(bool(rows))
        self.show_page(page, rows, chosen)

    def show_page(self, page: str, rows: tuple[Row, ...], chosen: int) -> None:
        """Show a page of the record, with the chosen line in sight."""
        self.setAccessibleName(f"What happened: {'messages' if page == 'sent' else page}")
        self.model_.show_rows(rows)
        bars = any(row.bar for row in rows)
        self.setColumnHidden(_BAR, not bars)
        width = self.viewport().width()
        self.setColumnWidth(0, int(width * (0.40 if page in ("items", "tour") else 0.27)))
        self.setColumnWidth(_BAR, int(width * 0.18))
        self.setColumnWidth(_FIGURE, int(width * (0.15 if any(row.figure for row in rows) else 0.01)))
        if self.currentIndex().row() != chosen and chosen < len(rows):
            self.setCurrentIndex(self.model_.index(chosen, 0))

    def as_text(self) -> str:
        """The rows that are chosen, for another program: a line each, a tab between cells."""
        rows = sorted({index.row() for index in self.selectedIndexes()})
        lines = (self.model_.rows[row] for row in rows)
        return "\n".join("\t".join((line.name.strip(), line.words, line.figure)) for line in lines)

    def _menu(self, at: QPoint) -> None:
        index = self.indexAt(at)
        if index.isValid():
            self.chose.emit(index.row())
            self.asked.emit()


def _bar(paper: Paper, middle: float, y: float, reach: float, share: float) -> None:
    k = paper.px
    paper.line(middle, y - k(9), middle, y + k(9), "faint", 1)
    if abs(share) > 0.01:
        left = min(middle, middle + share * reach)
        paper.fill(left, y - k(6), abs(share) * reach, k(12), "over" if share > 0 else "under")
