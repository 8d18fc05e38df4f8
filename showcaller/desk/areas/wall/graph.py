"""Channels over the song: how many are needed when, how many there are, where the song is."""

from showcaller.desk.areas.wall.wallview import WallView, graph_top
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QMouseEvent, QRectF, QWidget, Signal

_NEEDED = "#37424A"


class ChannelGraph(Sheet):
    """A click goes to that place of the song: ``sought`` tells the seconds."""

    sought = Signal(float)

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Processing channels over the song", parent)
        self.view: WallView | None = None
        self.at_s = 0.0

    def draw(self, paper: Paper) -> None:
        view = self.view
        if view is None or view.length_s <= 0:
            return
        k = paper.px
        foot = paper.height - k(30)
        top = graph_top(view.bars, view.limit)
        unit = (foot - k(4)) / top
        across = paper.width / view.length_s
        for bar in view.bars:
            x, wide = bar.start_s * across, (bar.end_s - bar.start_s) * across
            kept = min(bar.count, view.limit)
            gap = min(k(2), wide / 3)
            paper.fill(x, foot - kept * unit, wide - gap, kept * unit, _NEEDED)
            if bar.over:
                paper.fill(x, foot - bar.count * unit, max(wide - gap, k(3)), bar.over * unit, "standby")
            if wide > k(26) and bar.count:
                paper.text(x + k(7), foot - k(7), str(bar.count), "tiny", "text")
        for n, (at_s, _) in enumerate(view.changes):
            x = at_s * across
            if n == 0 or x - view.changes[n - 1][0] * across > k(3):
                paper.line(x, foot, x, foot + k(5), "faint", 1)
        y = foot - view.limit * unit
        paper.line(0, y, paper.width, y, "standby" if view.sentences else "faint", 2)
        paper.line(0, foot, paper.width, foot, "line", 1)
        self._labels(paper, view, across, foot)
        x = min(self.at_s * across, paper.width - 1)
        paper.line(x, 0, x, foot + k(6), "strong", 2)

    def _labels(self, paper: Paper, view: WallView, across: float, foot: float) -> None:
        k = paper.px
        places = view.sections or view.changes
        end = -1e9
        for n, (at_s, name) in enumerate(places):
            x = at_s * across
            after = places[n + 1][0] * across if n + 1 < len(places) else paper.width
            if x >= end and after - x > k(40):
                room = after - x - k(10)
                end = x + paper.text(x + k(3), foot + k(24), name, "tiny", "quiet", room=room) + k(12)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.view is not None and QRectF(self.rect()).contains(event.position()):
            self.sought.emit(event.position().x() / max(1, self.width()) * self.view.length_s)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() and self.view is not None:
            share = min(1.0, max(0.0, event.position().x() / max(1, self.width())))
            self.sought.emit(share * self.view.length_s)
