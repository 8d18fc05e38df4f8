"""A widget drawn on paper: subclasses give ``draw``; the scale follows the window."""

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QPainter, QRegion, QSizePolicy, Qt, QWidget

SMALLEST = 0.6


class Sheet(QWidget):
    """A custom-drawn widget. It takes no focus and no wheel: keys belong to the window."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        # Painted whole every time, so what lies behind need not be painted anew.
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def scale(self) -> float:
        """px on screen for 1 px of the 1920×1080 drawing."""
        window = self.window()
        return max(SMALLEST, min(window.width() / 1920, window.height() / 1080))

    def update_between(self) -> None:
        """Draw anew what lies between the widgets on it; they draw themselves when they are told."""
        region = QRegion(self.rect())
        for child in self.children():
            if isinstance(child, QWidget) and child.isVisible():
                region -= QRegion(child.geometry())
        self.update(region)

    def draw(self, paper: Paper) -> None:
        """Draw everything."""
        raise NotImplementedError

    def paintEvent(self, _event: object) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), colour("ground"))
        self.draw(Paper(painter, self.width(), self.height(), self.scale()))
        painter.end()
