"""A painter with the theme's colours and sizes, in px of a 1920×1080 screen scaled to the one at hand."""

from functools import lru_cache
from typing import Literal

from showcaller.desk.paint.shapes import shape_path
from showcaller.desk.qt import (
    QColor,
    QFont,
    QFontMetricsF,
    QImage,
    QLineF,
    QPainter,
    QPen,
    QPointF,
    QPolygonF,
    QRectF,
    Qt,
)
from showcaller.desk.theme import theme
from showcaller.model import Department

Align = Literal["left", "right", "centre"]
_WEIGHTS = {
    "regular": QFont.Weight.Normal,
    "medium": QFont.Weight.Medium,
    "semibold": QFont.Weight.DemiBold,
    "bold": QFont.Weight.Bold,
}
FAMILY = "Inter"


@lru_cache(maxsize=256)
def font(size_px: float, weight: str = "regular", spaced: bool = False) -> QFont:
    """The desk's typeface. Figures are of one width, so that a running clock does not dance."""
    made = QFont(FAMILY)
    made.setPixelSize(max(9, round(size_px)))
    made.setWeight(_WEIGHTS[weight])
    made.setFeature(QFont.Tag("tnum"), 1)
    if spaced:
        made.setLetterSpacing(QFont.SpacingType.PercentageSpacing, 108)
    return made


@lru_cache(maxsize=256)
def metrics(size_px: float, weight: str = "regular", spaced: bool = False) -> QFontMetricsF:
    """Measures of :func:`font`."""
    return QFontMetricsF(font(size_px, weight, spaced))


@lru_cache(maxsize=4096)
def _width(words: str, size_px: float, weight: str) -> float:
    return metrics(size_px, weight).horizontalAdvance(words)


@lru_cache(maxsize=64)
def colour(name: str) -> QColor:
    """A colour by its name in the theme, or as ``#RRGGBB``."""
    return QColor(name if name.startswith("#") else theme().colours[name])


def forget_colours() -> None:
    """Another theme is in use."""
    colour.cache_clear()


class Paper:
    """One paint of one widget. ``k`` is the scale: px on screen for 1 px at 1920×1080."""

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

    def size(self, name: str) -> float:
        """A type size by name, on this screen; never too small to read."""
        return max(11.0, theme().sizes[name] * self.k)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: str = "body",
        tone: str = "text",
        weight: str = "regular",
        align: Align = "left",
        room: float | None = None,
        spaced: bool = False,
        size_px: float | None = None,
    ) -> float:
        """Write ``words``, baseline at ``y``, cut to ``room`` with an ellipsis. Returns their width."""
        px = self.size(size) if size_px is None else size_px
        measures = metrics(px, weight, spaced)
        if room is not None and measures.horizontalAdvance(words) > room:
            words = measures.elidedText(words, Qt.TextElideMode.ElideRight, room)
        width = measures.horizontalAdvance(words)
        left = x - width if align == "right" else x - width / 2 if align == "centre" else x
        self.painter.setFont(font(px, weight, spaced))
        self.painter.setPen(colour(tone))
        self.painter.drawText(QPointF(left, y), words)
        return width

    def width_of(self, words: str, size_px: float, weight: str = "regular") -> float:
        """How wide words are, in px on this screen."""
        return _width(words, size_px, weight)

    def fitted(self, words: str, size: str, weight: str, room: float, least: float = 0.5) -> float:
        """The largest size in px, up to the named one, at which ``words`` fit ``room``."""
        full = self.size(size)
        wanted = metrics(full, weight).horizontalAdvance(words)
        # Fonts come in whole px: round down, or the words would be cut after all.
        return full if wanted <= room else max(full * least, float(int(full * room / wanted)))

    def heading(self, x: float, y: float, words: str, align: Align = "left") -> None:
        """A small heading in spaced capitals."""
        self.text(x, y, words.upper(), "tiny", "quiet", "semibold", align, spaced=True)

    def wrapped(
        self,
        x: float,
        y: float,
        words: str,
        room: float,
        size: str,
        tone: str,
        lines: int = 3,
        weight: str = "regular",
    ) -> float:
        """Write over several lines; returns the y of the next baseline."""
        px = self.size(size)
        measures = metrics(px, weight)
        step = px * 1.36
        left = words.split()
        for n in range(lines):
            if not left:
                break
            line = left.pop(0)
            while left and measures.horizontalAdvance(f"{line} {left[0]}") <= room:
                line += " " + left.pop(0)
            if n == lines - 1 and left:
                line = measures.elidedText(f"{line} {' '.join(left)}", Qt.TextElideMode.ElideRight, room)
                left = []
            self.text(x, y, line, size, tone, weight, room=room)
            y += step
        return y

    def fill(self, x: float, y: float, w: float, h: float, tone: str) -> None:
        """A filled rectangle."""
        self.painter.fillRect(QRectF(x, y, w, h), colour(tone))

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
