"""Lines, rectangles, circles and pictures in the theme's colours, in px of a 1920×1080 screen scaled."""

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.shapes import shape_path
from showcaller.desk.qt import QColor, QImage, QLineF, QPainter, QPen, QPointF, QPolygonF, QRectF, Qt
from showcaller.desk.theme import theme
from showcaller.model import Department


class Drawing:
    """What is drawn on one paint of one widget. ``k`` is px on screen for 1 px at 1920×1080."""

    def __init__(self, painter: QPainter, width: float, height: float, k: float) -> None:
        self.painter = painter
        self.width = width
        self.height = height
        self.k = k
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)

    def px(self, value: float) -> float:
        """A length of the 1920×1080 drawing, on this screen."""
        return value * self.k

    def fill(self, x: float, y: float, w: float, h: float, tone: str) -> None:
        """A filled rectangle."""
        self.painter.fillRect(QRectF(x, y, w, h), colour(tone))

    def boxes(self, found: list[QRectF], tone: str) -> None:
        """Many filled rectangles at once."""
        if found:
            self.painter.setPen(Qt.PenStyle.NoPen)
            self.painter.setBrush(colour(tone))
            self.painter.drawRects(found)

    def frame(
        self, x: float, y: float, w: float, h: float, tone: str, thick: float = 2, dashed: bool = False
    ) -> None:
        """The outline of a rectangle, ``thick`` px wide on the 1920×1080 drawing."""
        pen = QPen(colour(tone), max(1.0, self.px(thick)))
        if dashed:
            pen.setStyle(Qt.PenStyle.DashLine)
        self.painter.setPen(pen)
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawRect(QRectF(x, y, w, h))

    def line(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        tone: str = "line",
        thick: float = 1,
        dotted: bool = False,
    ) -> None:
        """A straight line."""
        pen = QPen(colour(tone), max(1.0, self.px(thick)))
        if dotted:
            pen.setStyle(Qt.PenStyle.DotLine)
        self.painter.setPen(pen)
        self.painter.drawLine(QPointF(x0, y0), QPointF(x1, y1))

    def lines(self, spans: list[tuple[float, float, float]], tone: str, thick: float = 1) -> None:
        """Many level lines at once, each (from x, to x, y)."""
        if spans:
            self.painter.setPen(QPen(colour(tone), max(1.0, self.px(thick))))
            self.painter.drawLines([QLineF(x0, y, x1, y) for x0, x1, y in spans])

    def curve(self, points: QPolygonF, tone: str, thick: float = 2) -> None:
        """A line through points."""
        self.painter.setPen(QPen(colour(tone), max(1.0, self.px(thick))))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawPolyline(points)

    def dot(self, x: float, y: float, r: float, tone: str) -> None:
        """A filled circle around (x, y)."""
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(colour(tone))
        self.painter.drawEllipse(QPointF(x, y), r, r)

    def diamond(self, corners: QPolygonF, tone: str) -> None:
        """A filled shape with these corners."""
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(colour(tone))
        self.painter.drawPolygon(corners)

    def picture(self, x: float, y: float, image: QImage) -> None:
        """An image with its top left corner at (x, y), px for px."""
        self.painter.drawImage(QPointF(x, y), image)

    def ring(self, x: float, y: float, r: float, tone: str) -> None:
        """An open circle around (x, y)."""
        self.painter.setPen(QPen(colour(tone), max(1.5, self.px(2))))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawEllipse(QPointF(x, y), r, r)

    def sign(self, x: float, y: float, department: Department, filled: bool, radius: float = 12) -> None:
        """A department's shape with its middle at (x, y); ``radius`` in px of the 1920×1080 drawing."""
        hue = QColor(theme().hues[department.hue])
        r = self.px(radius)
        self.painter.save()
        self.painter.translate(x, y)
        self.painter.scale(r, r)
        self.painter.setPen(QPen(hue, 0.2))
        self.painter.setBrush(hue if filled else Qt.BrushStyle.NoBrush)
        path = shape_path(department.shape)
        if not filled:
            self.painter.scale(0.9, 0.9)
        self.painter.drawPath(path)
        self.painter.restore()
