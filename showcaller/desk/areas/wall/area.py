"""The wall area: the look that is on, to scale; left and right step through the item's looks."""

from showcaller.calling.runbook import RunBook
from showcaller.calling.wording import plural
from showcaller.desk.areas.wall.wallview import LayerView, WallView, wall_view
from showcaller.desk.paint.paper import Paper, colour
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QColor, QPainter, QRectF

_GROUNDS = {
    "camera": "#7A4526",
    "clip": "#1F4A63",
    "still": "#3B4A2A",
    "generator": "#41365E",
    "live": "#5E3344",
}


class WallArea(Sheet):
    """Follows the run's item until another is chosen by hand."""

    def __init__(self) -> None:
        super().__init__("Wall: what the screen shows")
        self._book: RunBook | None = None
        self._seen: tuple[int, int] = (-1, -1)
        self._step: int | None = None
        self.item: int | None = None
        self._view: WallView | None = None

    def show_book(self, book: RunBook) -> None:
        """Show the wall as this run has it now."""
        if (id(book), book.version) != self._seen:
            self._seen, self._book = (id(book), book.version), book
            self._choose()

    def choose(self, items: int, looks: int) -> None:
        """Step to another item or look; Home goes back to what is on."""
        if self._book is None:
            return
        if items:
            count = len(self._book.program.items)
            now = self._book.state.item if self.item is None else self.item
            self.item, self._step = max(0, min(count - 1, now + items)), None
        if looks and self._view is not None and self._view.looks:
            on = next((n for n, row in enumerate(self._view.looks) if row[3]), 0)
            self._step = max(0, min(len(self._view.looks) - 1, on + looks))
        self._choose()

    def follow(self) -> None:
        """Show what is on again."""
        self.item = self._step = None
        self._choose()

    def _choose(self) -> None:
        assert self._book is not None
        item = self._book.state.item if self.item is None else self.item
        self._view = wall_view(self._book, item, self._step)
        self.update()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        view = self._view
        if view is None:
            paper.text(k(28), k(60), "This show has no wall.", "title", "quiet")
            return
        side = k(432)
        used = paper.text(k(28), k(44), view.title, "title", "strong", "semibold")
        paper.text(k(48) + used, k(44), view.line, "small", "quiet", room=paper.width - used - k(80))
        left, top = k(28), k(76)
        width = paper.width - side - k(56)
        scale = min(width / view.wall.width_px, (paper.height * 0.46) / view.wall.height_px)
        bottom = self._wall(paper, view, left, top, scale)
        paper.text(left, bottom + k(66), view.facts, "small", "quiet")
        self._looks(paper, view, left, bottom + k(116), width)
        self._sources(paper, view, left, paper.height - k(150), width)
        self._side(paper, view, paper.width - side + k(20), paper.width - k(28), top)

    def _wall(self, paper: Paper, view: WallView, left: float, top: float, scale: float) -> float:
        k = paper.px
        wall = view.wall
        width, height = wall.width_px * scale, wall.height_px * scale
        paper.fill(left, top, width, height, "panel")
        paper.painter.save()
        paper.painter.setClipRect(QRectF(left, top, width, height))
        for layer in view.layers:
            self._layer(paper, layer, left, top, scale)
        paper.painter.restore()
        for wall_input in wall.inputs:
            x = left + wall_input.x_px * scale
            if wall_input.x_px:
                paper.line(x, top, x, top + height, "quiet", 1, dotted=True)
            middle = x + wall_input.width_px * scale / 2
            words = f"{wall_input.name}  {wall_input.width_px}×{wall_input.height_px}"
            room = wall_input.width_px * scale - k(8)
            paper.text(middle, top + height + k(28), words, "tiny", "quiet", align="centre", room=room)
        paper.frame(left, top, width, height, "faint", 1)
        return top + height

    def _layer(self, paper: Paper, layer: LayerView, left: float, top: float, scale: float) -> None:
        k = paper.px
        r = layer.rect
        x, y, w, h = left + r.x * scale, top + r.y * scale, r.width * scale, r.height * scale
        ground = QColor(_GROUNDS[layer.kind])
        ground.setAlpha(235)
        paper.painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceOver)
        paper.painter.fillRect(QRectF(x, y, w, h), ground)
        paper.painter.setPen(colour("quiet"))
        paper.painter.drawRect(QRectF(x, y, w, h))
        paper.text(x + k(14), y + k(30), layer.name, "small", "strong", "semibold", room=w - k(24))
        words = " · ".join(p for p in (layer.kind, layer.treatment) if p)
        if h > k(70):
            paper.text(x + k(14), y + k(56), words, "tiny", "text", room=w - k(24))

    def _looks(self, paper: Paper, view: WallView, left: float, y: float, width: float) -> None:
        k = paper.px
        paper.heading(left, y, "looks of this item")
        paper.text(left + width, y, "← → steps, Home shows what is on", "tiny", "quiet", align="right")
        y += k(16)
        column = width / max(1, min(6, len(view.looks)))
        for n, (label, look, how, on) in enumerate(view.looks[:12]):
            x = left + (n % 6) * column
            top = y + (n // 6) * k(104)
            if top > paper.height - k(280):
                break
            paper.fill(x, top, column - k(10), k(92), "raised" if on else "panel")
            if on:
                paper.fill(x, top, k(4), k(92), "accent")
            room = column - k(36)
            paper.text(x + k(16), top + k(28), label, "tiny", "quiet", room=room)
            paper.text(x + k(16), top + k(54), look, "small", "strong" if on else "text", "medium", room=room)
            paper.text(x + k(16), top + k(78), how, "tiny", "quiet", room=room)

    def _sources(self, paper: Paper, view: WallView, left: float, y: float, width: float) -> None:
        k = paper.px
        paper.heading(left, y, "sources")
        count = max(1, len(view.sources))
        column = width / count
        for n, (name, kind, on) in enumerate(view.sources):
            x = left + n * column
            box = column - k(10)
            paper.fill(x, y + k(16), box, k(58), "panel")
            paper.frame(x, y + k(16), box, k(58), "accent" if on else "line", 2 if on else 1)
            paper.text(x + k(8), y + k(40), kind, "tiny", "quiet", room=box - k(14))
            paper.text(x + k(8), y + k(62), "on wall" if on else "free", "tiny", "text" if on else "faint")
            paper.text(x, y + k(100), name, "tiny", "text" if on else "quiet", room=box)

    def _side(self, paper: Paper, view: WallView, left: float, right: float, y: float) -> None:
        k = paper.px
        paper.heading(left, y + k(14), "layers of this look, front first")
        y += k(34)
        for layer in reversed(view.layers):
            if y > paper.height - k(190):
                break
            paper.fill(left, y, right - left, k(104), "panel")
            paper.text(
                left + k(14), y + k(30), layer.name, "small", "strong", "semibold", room=right - left - k(150)
            )
            paper.text(right - k(14), y + k(30), layer.cost, "small", "quiet", align="right")
            paper.text(left + k(14), y + k(58), layer.size, "tiny", "text", room=right - left - k(28))
            words = " · ".join(p for p in (f"to {layer.inputs}", layer.treatment) if p)
            paper.text(left + k(14), y + k(84), words, "tiny", "quiet", room=right - left - k(28))
            y += k(114)
        tone = "caution" if view.used > view.wall.channels else "text"
        words = f"{plural(view.used, 'processing channel')} of {view.wall.channels}"
        paper.text(left, y + k(26), words, "small", tone)
