"""A painter with the theme's colours and sizes, in px of a 1920×1080 screen scaled to the one at hand."""

from functools import lru_cache
from typing import Literal

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.drawing import Drawing
from showcaller.desk.qt import (
    QFont,
    QFontMetricsF,
    QPointF,
    Qt,
)
from showcaller.desk.theme import theme

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


LEADING = 1.36
"""From line to line, in sizes of the type."""


@lru_cache(maxsize=2048)
def wrapped(
    words: str, size_px: float, room: float, lines: int = 99, weight: str = "regular"
) -> tuple[str, ...]:
    """Words in lines of ``room`` px; what is left over after so many ``lines`` is cut with an ellipsis."""
    measures, left = metrics(size_px, weight), words.split()
    found: list[str] = []
    while left and len(found) < lines:
        line = left.pop(0)
        while left and measures.horizontalAdvance(f"{line} {left[0]}") <= room:
            line += " " + left.pop(0)
        if len(found) == lines - 1 and left:
            line = measures.elidedText(f"{line} {' '.join(left)}", Qt.TextElideMode.ElideRight, room)
        found.append(line)
    return tuple(found)


class Paper(Drawing):
    """What is drawn and written on one paint of one widget."""

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
        width = measures.horizontalAdvance(words) if spaced else _width(words, px, weight)
        if room is not None and width > room:
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
        for line in wrapped(words, px, room, lines, weight):
            self.text(x, y, line, size, tone, weight, room=room)
            y += px * LEADING
        return y

    def texts(self, found: list[tuple[float, float, str]], size: str, tone: str, weight: str) -> None:
        """Many short texts at once, each (x, baseline, words)."""
        self.painter.setFont(font(self.size(size), weight))
        self.painter.setPen(colour(tone))
        put = self.painter.drawText
        for x, y, words in found:
            put(QPointF(x, y), words)
