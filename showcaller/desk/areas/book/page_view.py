"""A page on the screen: its title, its sentence, its rows as a real table, and what the keys do there."""

from typing import Any

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.desk.areas.book.way_view import HIGH_PX, WayView
from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import font
from showcaller.desk.paint.views import TEXT_PX, ListView
from showcaller.desk.qt import (
    QAbstractItemView,
    QAbstractTableModel,
    QLabel,
    QModelIndex,
    QObject,
    QPalette,
    QPersistentModelIndex,
    QRect,
    QRectF,
    Qt,
    QTimer,
    QVBoxLayout,
    QWidget,
    Signal,
)

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
ROW_PX = 34
"""The height of a row, px at 1920×1080."""


class PageModel(QAbstractTableModel):
    """A line of the page a row; a heading cannot be chosen."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.lines: tuple[Line, ...] = ()
        self.heading_px = 14.0

    def show_lines(self, lines: tuple[Line, ...]) -> bool:
        """Show these; whether they are others than before."""
        if lines == self.lines:
            return False
        self.beginResetModel()
        self.lines = lines
        self.endResetModel()
        return True

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else max((len(line.cells) for line in self.lines), default=1)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        line, column = self.lines[index.row()], index.column()
        text = line.cells[column] if column < len(line.cells) else ""
        if role == Qt.ItemDataRole.DisplayRole:
            return text.upper() if line.heading else text
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return " ".join(cell for cell in line.cells if cell) if column == 0 else text
        if role == Qt.ItemDataRole.ToolTipRole:
            return text or None
        if role == Qt.ItemDataRole.ForegroundRole:
            return colour("quiet" if line.heading else line.rest if column else line.tone)
        if role == Qt.ItemDataRole.FontRole and line.heading:
            return font(self.heading_px, "semibold", True)
        return None

    def flags(self, index: _Index) -> Qt.ItemFlag:
        heading = index.isValid() and self.lines[index.row()].heading
        return Qt.ItemFlag.ItemIsEnabled if heading else super().flags(index)


class _WholeRows(ListView):
    """A list that shows no half of a row at its foot."""

    _fitting = False

    def updateGeometries(self) -> None:
        if self._fitting:
            return  # what follows asks for it again
        self._fitting = True
        super().updateGeometries()
        row_px = max(1, self.sizeHintForRow(0)) if self.model() is not None else 1
        self.setViewportMargins(0, 0, 0, self.height() % row_px)
        self._fitting = False


class PageView(QWidget):
    """Shows one page; ``chose`` tells the row that was clicked."""

    chose = Signal(int)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._page: Page | None = None
        self._title, self._lead, self._hint = (self._label() for _ in range(3))
        self.restyle()
        self.model_ = PageModel(self)
        self.list = _WholeRows("Page", self)
        self.list.setModel(self.model_)
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.list.clicked.connect(self._clicked)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        self.way = WayView(self)
        for part in (self._title, self._lead, self.list, self.way, self._hint):
            layout.addWidget(part, 1 if part is self.list else 0)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._fill)
        self.hide()

    def show_page(self, page: Page | None) -> None:
        """Show this page; None hides it. Rows that are about to change are read once they have."""
        self._page = page
        self.setVisible(page is not None)
        if page is not None:
            self._fill()
            self._soon.start(0)

    def place(self, box: QRect, k: float) -> None:
        """Stand here, at scale ``k``."""
        for label, size, weight in (
            (self._title, 27, "semibold"), (self._lead, 18, "regular"), (self._hint, 16, "regular"),
        ):  # fmt: skip
            label.setFont(font(max(11.0, size * k), weight))
        self.model_.heading_px = max(11.0, 16 * k)
        self.list.fit(max(11.0, 18 * k), int(ROW_PX * k))
        self.way.setFixedHeight(int(HIGH_PX * k))
        self.setGeometry(box)
        self._columns()

    def row_box(self) -> QRectF:
        """Where the chosen row is, px of the parent: what is typed lies over it."""
        self._fill()
        high = self.list.fontMetrics().height() * 1.6
        rect = self.list.visualRect(self.list.currentIndex()) if self.model_.lines else QRect()
        top = self.y() + self.list.y() + rect.top()
        return QRectF(self.x(), top, self.width(), max(high, rect.height()))

    def _fill(self) -> None:
        page = self._page
        if page is None:
            return
        page.settle()
        self._title.setText(page.title)
        self._lead.setText(page.lead())
        self._hint.setText(page.hint())
        self.list.setAccessibleName(page.title)
        if self.model_.show_lines(page.lines()):
            self._columns()
        self.show_way()
        if self.list.currentIndex().row() != page.at and page.at < len(self.model_.lines):
            self.list.setCurrentIndex(self.model_.index(page.at, 0))

    def show_way(self) -> None:
        """Draw the way that the chosen row, or what is typed into it, is of."""
        if self._page is not None:
            self.way.show_way(self._page.way())

    def _columns(self) -> None:
        """Columns as wide as the page has them; what has one cell goes across all."""
        page = self._page
        if page is None:
            return
        width = self.list.viewport().width()
        for n in range(self.model_.columnCount() - 1):
            share = page.widths[n] if n < len(page.widths) else 0.2
            self.list.setColumnWidth(n, int(width * share))
        for row, line in enumerate(self.model_.lines):
            self.list.setFirstColumnSpanned(row, _NOWHERE, len(line.cells) == 1)

    def _clicked(self, index: QModelIndex) -> None:
        if not self.model_.lines[index.row()].heading:
            self.chose.emit(index.row())

    def restyle(self) -> None:
        """Take the colours that are in use now."""
        for label, tone in ((self._title, "strong"), (self._lead, "quiet"), (self._hint, "quiet")):
            palette = label.palette()
            palette.setColor(QPalette.ColorRole.WindowText, colour(tone))
            label.setPalette(palette)

    def _label(self) -> QLabel:
        label = QLabel(self)
        label.setWordWrap(True)
        label.setContentsMargins(TEXT_PX, 0, 0, 0)
        return label
