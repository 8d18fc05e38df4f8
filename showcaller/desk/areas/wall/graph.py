"""Channels over the song: how many are needed when, how many there are, where the song is."""

import numpy as np

from showcaller.desk.areas.wall.wallview import PoolBars, WallView, graph_top
from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QImage, QMouseEvent, QPainter, QPointF, QRectF, QWidget, Signal
from showcaller.desk.reference_peaks import Peaks

_NEEDED = "#37424A"
WAVE_PX = 30


class ChannelGraph(Sheet):
    """A click goes to that place of the song: ``sought`` tells the seconds."""

    sought = Signal(float)

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Processing channels over the song", parent)
        self.view: WallView | None = None
        self.at_s = 0.0
        self._made: tuple[object, QImage] | None = None
        self._sound: tuple[Peaks, float, tuple[float, float] | None] = ((), 0.0, None)

    def show_view(self, view: WallView) -> None:
        """Show these pools; drawn anew only where they are others."""
        was, self.view = self.view, view
        if was is None or (was.pools, was.sections, was.changes) != (view.pools, view.sections, view.changes):
            self.update()

    def show_at(self, at_s: float) -> None:
        """Where the song is; also when nothing else is otherwise."""
        if at_s != self.at_s:
            self.at_s = at_s
            self.update()

    def show_sound(self, peaks: Peaks, from_s: float, loop: tuple[float, float] | None) -> None:
        """The reference's loudness, ``from_s`` into it where the item begins; what plays over and over."""
        if (peaks, from_s, loop) != self._sound:
            self._sound = peaks, from_s, loop
            self.update()

    def draw(self, paper: Paper) -> None:
        view = self.view
        if view is None or view.length_s <= 0:
            return
        k = paper.px
        wave = k(WAVE_PX) if self._sound[0] else 0.0
        foot = paper.height - k(30) - wave
        across = paper.width / view.length_s
        step = foot / len(view.pools)
        for n, pool in enumerate(view.pools):
            self._pool(paper, pool, across, (n * step, (n + 1) * step), len(view.pools) > 1)
        for n, (at_s, _) in enumerate(view.changes):
            x = at_s * across
            if n == 0 or x - view.changes[n - 1][0] * across > k(3):
                paper.line(x, foot, x, foot + k(5), "faint", 1)
        if wave:
            self._wave(paper, view, foot + k(2), wave - k(3))
        loop = self._sound[2]
        if loop is not None:
            x, end = loop[0] * across, loop[1] * across
            paper.fill(x, foot + wave, end - x, k(4), "accent")
        self._labels(paper, view, across, foot + wave)
        x = min(self.at_s * across, paper.width - 1)
        paper.line(x, 0, x, foot + wave + k(6), "strong", 2)

    def _pool(
        self, paper: Paper, pool: PoolBars, across: float, between: tuple[float, float], named: bool
    ) -> None:
        """A pool's channels; ``named`` where there are several, one under the other."""
        k, (top, foot) = paper.px, between
        unit = (foot - top - k(4)) / graph_top(pool.bars, pool.limit)
        for bar in pool.bars:
            x, wide = bar.start_s * across, (bar.end_s - bar.start_s) * across
            kept = min(bar.count, pool.limit)
            gap = min(k(2), wide / 3)
            paper.fill(x, foot - kept * unit, wide - gap, kept * unit, _NEEDED)
            if bar.over:
                paper.fill(x, foot - bar.count * unit, max(wide - gap, k(3)), bar.over * unit, "standby")
            if wide > k(26) and bar.count:
                paper.text(x + k(7), foot - k(7), str(bar.count), "tiny", "text")
        y = foot - pool.limit * unit
        over = any(bar.over for bar in pool.bars)
        paper.line(0, y, paper.width, y, "standby" if over else "faint", 2)
        paper.line(0, foot, paper.width, foot, "line", 1)
        if named:
            words = pool.words
            wide = paper.width_of(words, paper.size("tiny")) + k(12)
            paper.fill(paper.width - wide, y + k(2), wide, min(k(24), foot - y - k(3)), "ground")
            paper.text(paper.width - k(4), y + k(19), words, "tiny", "quiet", align="right")

    def _wave(self, paper: Paper, view: WallView, top: float, high: float) -> None:
        """A column a pixel, as loud as the loudest that falls on it; made once, drawn at every frame."""
        peaks, from_s, _ = self._sound
        of = (id(peaks), from_s, view.length_s, int(paper.width), int(high))
        if self._made is None or self._made[0] != of:
            self._made = of, wave_image(peaks, from_s, view.length_s, int(paper.width), int(high))
        paper.painter.drawImage(QPointF(0, top), self._made[1])

    def _labels(self, paper: Paper, view: WallView, across: float, foot: float) -> None:
        k = paper.px
        places = view.sections or view.changes
        end = -1e9
        for n, (at_s, name) in enumerate(places):
            x = at_s * across
            after = places[n + 1][0] * across if n + 1 < len(places) else paper.width
            if x >= end and after - x > k(40):
                room = after - x - k(10)
                end = x + paper.text(x + k(3), foot + k(24), name, "tiny", "quiet", room=room) + k(4)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.view is not None and QRectF(self.rect()).contains(event.position()):
            self.sought.emit(event.position().x() / max(1, self.width()) * self.view.length_s)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() and self.view is not None:
            share = min(1.0, max(0.0, event.position().x() / max(1, self.width())))
            self.sought.emit(share * self.view.length_s)


def wave_image(peaks: Peaks, from_s: float, length_s: float, width: int, high: int) -> QImage:
    """Loudness over an item of ``length_s``, ``width`` × ``high`` px, around the middle; clear beside it."""
    columns = np.zeros(max(1, width))
    if peaks:
        at_s, loud = np.array(peaks).T
        place = ((at_s - from_s) / length_s * len(columns)).astype(int)
        inside = (place >= 0) & (place < len(columns))
        np.maximum.at(columns, place[inside], loud[inside])
    image = QImage(len(columns), max(1, high), QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(0)
    painter = QPainter(image)
    for n, value in enumerate(columns):
        if value > 0:
            tall = max(1, round(high * value))
            painter.fillRect(n, (high - tall) // 2, 1, tall, colour("faint"))
    painter.end()
    return image
