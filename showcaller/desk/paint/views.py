"""Qt's own lists and tables in the desk's look. Keys belong to the window: a view passes on every one."""

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import FAMILY, font
from showcaller.desk.qt import (
    QAbstractItemView,
    QFocusEvent,
    QFrame,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QModelIndex,
    QPainter,
    QPaintEvent,
    QPalette,
    QPersistentModelIndex,
    QSize,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    Qt,
    QTreeView,
    QWidget,
    Signal,
)
from showcaller.desk.theme import theme

PADDING_PX = 6
"""What the style sheet keeps free at both sides of a cell."""
TEXT_PX = PADDING_PX + 3
"""Between a cell's edge and its words: the style keeps its own margin too."""


BY_KEYS = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason)


class ToneDelegate(QStyledItemDelegate):
    """Rows of one height, ``row_px``; a chosen one keeps the tone of its words: what is wrong is marked."""

    row_px = 24

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        size = super().sizeHint(option, index)
        size.setHeight(self.row_px)
        return size

    def initStyleOption(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        super().initStyleOption(option, index)
        if option.state & QStyle.StateFlag.State_Selected:  # type: ignore[attr-defined]
            tone = index.data(Qt.ItemDataRole.ForegroundRole)
            role = QPalette.ColorRole.HighlightedText
            option.palette.setColor(role, colour("strong") if tone is None else tone)  # type: ignore[attr-defined]


class ListView(QTreeView):
    """A list or a table without branches. ``fit`` sets type and rows to a scale.

    It has the focus where it is clicked or reached, so that a screen reader reads it and its rows can be
    copied; the keys are the window's all the same.
    """

    copied = Signal(int)
    """So many rows are in the clipboard now."""
    copied_columns: tuple[int, ...] | None = None
    """Which columns are copied as text; None: all."""

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setRootIsDecorated(False)
        self.setUniformRowHeights(True)
        self.setHeaderHidden(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerItem)
        self.setAllColumnsShowFocus(True)
        self.setTabKeyNavigation(False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setItemDelegate(ToneDelegate(self))
        self._size_px = 0.0
        self._framed = False
        self._shared_px = 0
        self.restyle()

    def fit(self, size_px: float, row_px: int) -> None:
        """Type of ``size_px``, rows of ``row_px``."""
        if self._size_px != size_px:
            self._size_px = size_px
            self.setFont(font(size_px))
            self._style_header()
        delegate = self.itemDelegate()
        if isinstance(delegate, ToneDelegate) and delegate.row_px != row_px:
            delegate.row_px = row_px
            self.header().setFixedHeight(row_px)
            self.scheduleDelayedItemsLayout()

    def restyle(self) -> None:
        """Take the colours that are in use now."""
        t = theme()
        # Not in ``fit``: a style sheet set anew costs milliseconds, and rows change height as forms do.
        self.setStyleSheet(
            f"QTreeView {{ background: {t.ground}; color: {t.text}; border: none; outline: none; }}"
            f"QTreeView::item {{ border: none; padding: 0 {PADDING_PX}px; }}"
            f"QTreeView::item:selected {{ background: {t.raised}; }}"
            f"QScrollBar:vertical {{ background: {t.ground}; width: 8px; margin: 0; }}"
            f"QScrollBar::handle:vertical {{ background: {t.line}; min-height: 24px; }}"
            "QScrollBar::add-line:vertical, QScrollBar::sub-line:vertical { height: 0; }"
        )
        self._style_header()

    def _style_header(self) -> None:
        if self.isHeaderHidden():
            return
        t = theme()
        self.header().setStyleSheet(
            f"QHeaderView {{ background: {t.ground}; border: none; }}"
            f"QHeaderView::section {{ background: {t.ground}; color: {t.quiet}; border: none;"
            f" border-bottom: 1px solid {t.line}; padding: 0 {TEXT_PX}px;"
            f" font: {max(10, self._size_px * 0.85):.0f}px {FAMILY}; }}"
        )

    def show_header(self) -> None:
        """The names of the columns: an edge can be moved; a click sorts, the third click as it was."""
        self.setHeaderHidden(False)
        self.header().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.header().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.header().setSortIndicator(-1, Qt.SortOrder.AscendingOrder)
        self.header().setSortIndicatorClearable(True)
        self.setSortingEnabled(True)

    def share_columns(self, shares: tuple[float, ...], width_px: int) -> None:
        """Usual widths of the first columns; what a hand makes of them stays until the list has another."""
        if width_px != self._shared_px:
            self._shared_px = width_px
            for column, share in enumerate(shares):
                self.setColumnWidth(column, int(width_px * share))

    def as_text(self) -> str:
        """The rows that are chosen, for another program: a line each, a tab between cells."""
        model = self.model()
        columns = self.copied_columns or range(model.columnCount())
        rows = sorted({index.row() for index in self.selectedIndexes()})
        cells = ([" ".join(str(model.index(row, c).data() or "").split()) for c in columns] for row in rows)
        return "\n".join("\t".join(row) for row in cells)

    def focusInEvent(self, event: QFocusEvent) -> None:
        self._framed = event.reason() in BY_KEYS
        super().focusInEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self._framed and self.hasFocus():  # reached by keys: the eye must find it too
            painter = QPainter(self.viewport())
            painter.setPen(colour("accent"))
            painter.drawRect(self.viewport().rect().adjusted(0, 0, -1, -1))
            painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        several = False
        if event.matches(QKeySequence.StandardKey.Copy) and self.selectedIndexes():
            QGuiApplication.clipboard().setText(self.as_text())
            rows = len({index.row() for index in self.selectedIndexes()})
            several = rows > 1
            self.copied.emit(rows)
        # To the window: one press is one act of the table, whatever has the focus; but for several rows.
        event.setAccepted(several)
