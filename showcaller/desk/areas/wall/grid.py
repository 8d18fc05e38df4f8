"""The grid: looks and sources as small living pictures, put on or made next by one touch."""

from collections.abc import Callable, Mapping

from showcaller.desk.areas.wall.grid_layout import HEAD_PX, GridLayout, grid_layout
from showcaller.desk.areas.wall.grid_learn import WORDS
from showcaller.desk.areas.wall.grid_places import COLUMNS
from showcaller.desk.areas.wall.grid_view import HOW, GridView, Tile, how_words
from showcaller.desk.areas.wall.heads import NEXT_TONE, ON_TONE
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper, metrics
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.surfaces import draw_edges
from showcaller.desk.qt import QImage, QMouseEvent, QPointF, QRectF, Qt, QWidget, Signal
from showcaller.desk.theme import theme
from showcaller.screen.spread import WallSpread
from showcaller.values import Struct, field

_DOES = {True: "puts on, Shift: next", False: "previews"}

_FADED = 0.35
"""How much of a picture that is old is still seen."""


class GridNow(Struct, frozen=True):
    """The grid at an instant: its words, its pictures (the newest sheet; what stands in each place of it),
    whether they are old, whether its keys act, the layer a source goes into; while learning
    what is to be done, what was chosen (``tile 3``), and what is bound to what."""

    view: GridView
    image: Callable[[], QImage | None]
    pictured: tuple[str, ...] = ()
    old: bool = False
    keyed: bool = False
    layer: str = ""
    note: str = ""
    chosen: str = ""
    pads: Mapping[str, str] = field(default_factory=dict)


def how_list(now: GridNow) -> tuple[str, ...]:
    """The words over the tiles: the changes of a touch, or while learning what is learned beside tiles."""
    return WORDS if now.note else tuple(how_words(n) for n in range(len(HOW)))


class GridPanel(Sheet):
    """``touched`` a place of the page (and whether it is to be next), ``turned`` to another change,
    ``paged`` to the next page."""

    touched = Signal(int, bool)
    paged = Signal()
    turned = Signal(int)

    def __init__(self, keys: Keys, parent: QWidget) -> None:
        super().__init__("Looks and sources", parent)
        self._keys = keys
        self._now: GridNow | None = None
        self._hover: QPointF | None = None
        self._shape = 16 / 9
        self._spread: WallSpread | None = None
        self._title_px = 0.0
        self.setMouseTracking(True)

    def show_now(self, now: GridNow, spread: WallSpread) -> None:
        """Show this; ``spread`` is what the pictures are of."""
        self._now, self._spread = now, spread
        self._shape = spread.wall.width_m / spread.wall.height_m
        tiles = [t for t in now.view.tiles if t.on or t.next]
        self.setAccessibleDescription("; ".join(f"{t.name} {t.marks}" for t in tiles))
        self.update()

    def tile_px(self) -> tuple[int, int]:
        """A picture's width and height, px of the screen."""
        box, ratio = self.layout_().pictures[0], self.devicePixelRatioF()
        return int(box.width() * ratio), int(box.height() * ratio)

    def layout_(self) -> GridLayout:
        """Where the tiles lie."""
        return grid_layout(self.width(), self.height(), self.scale(), self._shape)

    def how_boxes(self) -> list[QRectF]:
        """Where the changes stand that a touch can bring a look by; which one is chosen moves none."""
        k, right = self.scale(), float(self.width())
        size, found = max(11.0, theme().sizes["tiny"] * k), []
        shown = () if self._now is None else how_list(self._now)
        for n in reversed(range(len(shown))):
            words = f"{self._keys[f'tile.how_{n + 1}']} {shown[n]}"
            wide = metrics(size, "bold").horizontalAdvance(words) + 6 * k
            found.append(QRectF(right - wide, 0, wide, 38 * k))
            right -= wide + 12 * k
        return found[::-1]

    # Drawing

    def draw(self, paper: Paper) -> None:
        now = self._now
        if now is None:
            return
        at, k = self.layout_(), paper.px
        self._draw_head(paper, now)
        lead = now.layer or f"choose a layer, then touch a source: {self._keys['wall.front']}"
        used = paper.text(0, at.lead_y, "SOURCES", "tiny", "quiet", "semibold", spaced=True)
        paper.text(used + k(14), at.lead_y, lead, "tiny", "quiet", room=paper.width - used - k(20))
        under = None if self._hover is None else at.place_at(self._hover.x(), self._hover.y())
        for tile, box in zip(now.view.tiles, at.pictures, strict=True):
            self._draw_picture(paper, now, tile, box)
            self._draw_tile(paper, now, tile, box, tile.place == under)

    def _draw_head(self, paper: Paper, now: GridNow) -> None:
        k, y = paper.px, paper.px(26)
        right = paper.width
        shown = how_list(now)
        for n, box in enumerate(self.how_boxes()):
            mine = shown[n] == now.chosen if now.note else n == now.view.how
            tone, weight = ("strong", "bold") if mine else ("quiet", "medium")
            digit = self._keys[f"tile.how_{n + 1}"]
            x = paper.text(box.left(), y, digit, "tiny", "accent" if now.keyed else "quiet") + k(6)
            wide = paper.text(box.left() + x, y, shown[n], "tiny", tone, weight)
            if mine:
                paper.line(box.left() + x, y + k(7), box.left() + x + wide, y + k(7), "accent", 2)
            right = min(right, box.left() - k(20))
        title = f"{now.view.title} ›" if now.view.pages > 1 else now.view.title
        room = right * (0.25 if now.note else 0.5)
        self._title_px = paper.text(0, y, title, "small", "strong", "semibold", room=room)
        x = self._title_px + k(18)
        words, tone = now.note, "standby"
        if not words and now.old:
            words, tone = "the small pictures are old: they come again by themselves", "caution"
        if not words and now.keyed:
            words, tone = f"a letter {_DOES[now.view.live]} · {self._keys['wall.grid']}: no more", "accent"
        elif not words:
            words, tone = f"a touch {_DOES[now.view.live]} · {self._keys['wall.grid']}: by letters", "quiet"
        paper.text(x, y, words, "tiny", tone, room=right - x)

    def _draw_picture(self, paper: Paper, now: GridNow, tile: Tile, box: QRectF) -> None:
        paper.fill(box.x(), box.y(), box.width(), box.height(), "panel" if tile.kind else "ground")
        image = now.image()
        known = tile.place < len(now.pictured) and now.pictured[tile.place] == f"{tile.kind} {tile.id}"
        if image is None or not tile.kind or not known:
            return
        rows = len(now.pictured) // COLUMNS
        wide, high = image.width() / COLUMNS, image.height() / rows
        part = QRectF(tile.place % COLUMNS * wide, tile.place // COLUMNS * high, wide, high)
        paper.painter.setOpacity(_FADED if now.old else 1.0)
        paper.painter.drawImage(box, image, part)
        paper.painter.setOpacity(1.0)
        if tile.kind == "look" and self._spread is not None:
            draw_edges(paper, self._spread, box, "line")

    def _draw_tile(self, paper: Paper, now: GridNow, tile: Tile, box: QRectF, under: bool) -> None:
        k = paper.px
        thick = max(2.0, k(4))
        if not tile.kind:
            paper.frame(box.x() + 0.5, box.y() + 0.5, box.width() - 1, box.height() - 1, "faint", 1)
            return
        tone = "text" if under else "line"
        paper.frame(box.x() + 0.5, box.y() + 0.5, box.width() - 1, box.height() - 1, tone, 1)
        inset = thick / 2
        for is_so, colour in ((tile.on, ON_TONE), (tile.next, NEXT_TONE)):
            if is_so:
                paper.frame(box.x() + inset, box.y() + inset, box.width() - 2 * inset,
                            box.height() - 2 * inset, colour, thick)  # fmt: skip
                inset += thick
        does = f"tile {tile.place + 1}"
        if does == now.chosen:
            paper.frame(box.x() + thick / 2, box.y() + thick / 2, box.width() - thick, box.height() - thick,
                        "standby", thick, dashed=True)  # fmt: skip
        x, y = box.x(), box.bottom() + k(42)
        if now.note:
            paper.text(x, y, now.pads.get(does, "no pad"), "tiny", "standby" if does in now.pads else "quiet",
                       room=box.width())  # fmt: skip
        marks = ((tile.on, "● ON", ON_TONE), (tile.next, "▲ NEXT", NEXT_TONE))
        for is_so, words, colour in () if now.note else marks:
            if is_so:
                x += paper.text(x, y, words, "tiny", colour, "bold") + k(10)
        if now.old and not now.note:
            paper.text(x, y, "old picture", "tiny", "quiet", room=box.right() - x)
        base = box.bottom() + k(21)
        column = box.width() if box.width() > k(120) else self.layout_().touched[0].width()
        key = paper.text(box.x() + column, base, tile.key, "tiny", "accent" if now.keyed else "quiet",
                         "bold" if now.keyed else "regular", align="right")  # fmt: skip
        strong = tile.of_song or tile.on or tile.next
        paper.text(box.x(), base, tile.name, "tiny",
                   "strong" if strong else "quiet", "medium", room=column - key - k(8))  # fmt: skip

    # The mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton or self._now is None:
            return
        at = event.position()
        n = next((n for n, box in enumerate(self.how_boxes()) if box.contains(at)), None)
        place = self.layout_().place_at(at.x(), at.y())
        if n is not None:
            self.turned.emit(n)
        elif at.y() < HEAD_PX * self.scale() and at.x() < self._title_px:
            self.paged.emit()
        elif place is not None:
            self.touched.emit(place, bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._hover = event.position()
        self.update()

    def leaveEvent(self, _event: object) -> None:
        self._hover = None
        self.update()
