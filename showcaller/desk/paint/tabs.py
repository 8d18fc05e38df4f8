"""A row of tabs in the desk's look. Keys belong to the window: arrows turn no tab by themselves."""

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import metrics
from showcaller.desk.qt import QKeyEvent, QPainter, QPaintEvent, Qt, QTabBar, QWidget, Signal
from showcaller.desk.theme import theme

OVER_PX = 8
"""Over the words, so that they are easily hit, px at 1920×1080."""


class Tabs(QTabBar):
    """``chose`` the place of the tab that was clicked; which one is shown is told by ``show_tab``."""

    chose = Signal(int)

    def __init__(self, name: str, words: tuple[str, ...], parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setDrawBase(False)
        self.setExpanding(False)
        self.setUsesScrollButtons(False)
        self.setElideMode(Qt.TextElideMode.ElideNone)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        for text in words:
            self.addTab(text)
        self.tabBarClicked.connect(self._clicked)
        self._k, self._gap, self._size = 0.0, 0.0, 16.0

    def fit(self, k: float, gap: float, size: float = 16, room_px: float = 1e6) -> None:
        """Type and gaps at scale ``k``; ``gap`` between two and ``size`` of type in px at 1920×1080. Where
        all would be wider than ``room_px`` they stand closer."""
        face = metrics(max(11, round(size * k)), "semibold")
        words = sum(face.horizontalAdvance(self.tabText(n)) + 1 for n in range(self.count()))
        gap = max(4 / k, min(gap, (room_px - words) / max(1, self.count() - 1) / k))
        if (k, gap, size) != (self._k, self._gap, self._size) or not self.styleSheet():
            self._k, self._gap, self._size = k, gap, size
            self.restyle()

    def restyle(self) -> None:
        """Take the colours that are in use now."""
        k, gap, t = self._k, self._gap, theme()
        self.setStyleSheet(
            f"QTabBar::tab {{ background: transparent; color: {t.quiet}; border: none;"
            f" padding: {OVER_PX * k:.0f}px 0 3px 0;"
            f" margin: 0 {gap * k:.0f}px 0 0; font: 600 {max(11, self._size * k):.0f}px Inter;"
            " border-bottom: 2px solid transparent; }"
            f"QTabBar::tab:selected {{ color: {t.strong}; border-bottom: 2px solid {t.accent}; }}"
            f"QTabBar::tab:hover {{ color: {t.text}; }}"
        )
        self.adjustSize()

    def show_tab(self, place: int) -> None:
        """This one is shown."""
        self.setCurrentIndex(place)

    def _clicked(self, place: int) -> None:
        if place >= 0:
            self.chose.emit(place)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.hasFocus():
            painter = QPainter(self)
            painter.setPen(colour("accent"))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
            painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()
