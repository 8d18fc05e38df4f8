"""The wall drawn to scale: the composed picture, the inputs, layers to take hold of, faults."""

from collections.abc import Callable, Mapping
from typing import Any

from showcaller.desk.areas.wall.grips import (
    STEP_M,
    Box,
    Grip,
    box_of,
    dragged,
    grip_at,
    layer_at,
    lines_of,
    placed,
)
from showcaller.desk.areas.wall.pool_use import PoolUse
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.screen_paint import (
    draw_faults,
    draw_inputs,
    draw_layers,
    draw_loading,
    draw_panels,
    draw_picture,
    draw_surfaces,
    each_alone,
)
from showcaller.desk.areas.wall.seat_paint import draw_seat
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QImage, QMouseEvent, QPointF, QRectF, Qt, QWheelEvent, QWidget, Signal
from showcaller.model import HousePlace, Layer
from showcaller.screen.faults import Panel, panel_at, panel_on
from showcaller.screen.geometry import natural_aspect
from showcaller.screen.looks import layer_keys

NOTCH = 120
"""A notch of the wheel, as Qt counts it (eighths of a degree)."""

REACH_PX = 9
"""How near to an edge the mouse takes hold of it, px at 1920×1080."""

_SHAPE = Qt.CursorShape
_CURSORS = {
    (0, 0): _SHAPE.SizeAllCursor, (1, 0): _SHAPE.SizeHorCursor, (-1, 0): _SHAPE.SizeHorCursor,
    (0, 1): _SHAPE.SizeVerCursor, (0, -1): _SHAPE.SizeVerCursor,
    (1, 1): _SHAPE.SizeBDiagCursor, (-1, -1): _SHAPE.SizeBDiagCursor,
    (1, -1): _SHAPE.SizeFDiagCursor, (-1, 1): _SHAPE.SizeFDiagCursor,
}  # fmt: skip


class WallScreen(Sheet):
    """``chose`` tells which layer was clicked, ``over`` on which surface, ``drags`` where one is being
    dragged, ``dropped`` its end, ``faded`` by how many steps up or down. Layers lie here in the metres of all
    surfaces together; what is told is in those of the layer's own."""

    chose = Signal(object)
    over = Signal(str)
    drags = Signal(object)
    dropped = Signal(object)
    faded = Signal(int)

    def __init__(
        self, image: Callable[[], QImage | None], parent: QWidget, name: str = "The wall, to scale"
    ) -> None:
        super().__init__(name, parent)
        self._image = image
        self.scene: Scene | None = None
        self.chosen: str | None = None
        self.faults: Mapping[Panel, str] = {}
        self.earlier: frozenset[Panel] = frozenset()
        self.editable = True
        self.grid = False
        """Whether the panels' edges are drawn."""
        self.seat: HousePlace | None = None
        """From where it is seen; None: straight on, to be played with."""
        self.uses: tuple[PoolUse, ...] = ()
        """Of each pool its name, the channels taken, those there are, and its surfaces: where there are
        several."""
        self.loading = False
        """The picture is still that of what was shown before."""
        self.hover: QPointF | None = None
        self._held: tuple[Grip, Box, QPointF, Layer] | None = None
        self._moved = False
        self._wheel = 0
        self.setMouseTracking(True)

    # Metres and px

    def metres(self, at: QPointF) -> tuple[float, float]:
        """A place on the widget, in metres from the lower left corner of all surfaces together."""
        assert self.scene is not None
        wall = self.scene.spread.wall
        return at.x() / self.width() * wall.width_m, (1 - at.y() / self.height()) * wall.height_m

    def hovered_panel(self) -> Panel | None:
        """The panel under the mouse, of whichever surface."""
        if self.scene is None or self.hover is None or self.seat is not None:
            return None
        surface = self.scene.spread.surface_at(*self.metres(self.hover))
        if surface is None:
            return None
        area = self.area(surface.id)
        x_px = (self.hover.x() - area.x()) / area.width() * surface.width_px
        y_px = (self.hover.y() - area.y()) / area.height() * surface.height_px
        found = panel_at(surface, x_px, y_px)
        return found and panel_on(self.scene.show, surface, found.column, found.row)

    def area(self, surface: str) -> QRectF:
        """Where a surface is drawn, px of the widget."""
        assert self.scene is not None
        wall, r = self.scene.spread.wall, self.scene.spread.area(surface)
        across, down = self.width() / wall.width_px, self.height() / wall.height_px
        return QRectF(r.x * across, r.y * down, r.width * across, r.height * down)

    def _reach_m(self) -> float:
        assert self.scene is not None
        return REACH_PX * self.scale() / self.width() * self.scene.spread.wall.width_m

    # Drawing

    def draw(self, paper: Paper) -> None:
        scene = self.scene
        if scene is None:
            return
        if self.seat is not None:
            draw_seat(paper, each_alone(self._image(), scene), scene.show, self.seat)
            paper.frame(0.5, 0.5, paper.width - 1, paper.height - 1, "faint", 1)
            return
        draw_picture(paper, self._image(), scene)
        draw_inputs(paper, scene)
        if self.grid:
            draw_panels(paper, scene, self.hovered_panel())
        under = self._under() if self.hover is not None and self._held is None else None
        draw_layers(paper, scene, self.chosen, under, self.editable)
        draw_faults(paper, scene, self.faults, self.earlier)
        draw_surfaces(paper, scene, self.uses)
        if self.loading:
            draw_loading(paper, scene)

    # The mouse

    def _under(self) -> str | None:
        """The layer under the mouse."""
        if self.scene is None or self.hover is None:
            return None
        look, at = self.scene.spread_look, self.metres(self.hover)
        surface = self.scene.spread.surface_at(*at)
        seen = [
            (key, layer)
            for key, layer in zip(layer_keys(look), look.layers, strict=True)
            if surface is not None and layer.surface in (None, surface.id) and not self.scene.is_hidden(key)
        ]
        n = layer_at(tuple(layer for _, layer in seen), *at)
        return None if n is None else seen[n][0]

    def _grip(self, at: QPointF) -> tuple[Grip, Layer] | None:
        assert self.scene is not None
        found = self.scene.lifted(self.chosen)
        if found is None or not self.editable:
            return None
        grip = grip_at(box_of(found), *self.metres(at), self._reach_m())
        return None if grip is None else (grip, found)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.scene is None or event.button() != Qt.MouseButton.LeftButton or self.seat is not None:
            return
        self.hover = event.position()
        surface = self.scene.spread.surface_at(*self.metres(event.position()))
        if surface is not None:
            self.over.emit(surface.id)
        held = self._grip(event.position())
        if held is None or held[0] == Grip():
            # Inside the chosen one another may lie in front: that is the one that is meant.
            key = self._under()
            if key != self.chosen or key is None:
                self.chosen = key
                self.chose.emit(key)
            held = self._grip(event.position())
        if held is not None:
            self._held = (held[0], box_of(held[1]), event.position(), held[1])
            self._moved = False
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.hover = event.position()
        if self.scene is None:
            return
        if self._held is None:
            grip = self._grip(event.position())
            self.setCursor(_CURSORS[grip[0].across, grip[0].up] if grip else Qt.CursorShape.ArrowCursor)
            self.update()
            return
        far = event.position() - self._held[2]
        if abs(far.x()) + abs(far.y()) > 3:
            self._moved = True
        if self._moved:
            self.drags.emit(self._own(self._box(event)))

    def _box(self, event: QMouseEvent) -> Box:
        assert self.scene is not None
        assert self._held is not None
        grip, box, start, layer = self._held
        x0, y0 = self.metres(start)
        x1, y1 = self.metres(event.position())
        free = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        loose = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        source = next(s for s in self.scene.show.sources if s.id == layer.source)
        aspect = None if free else natural_aspect(layer, source)
        look = self.scene.spread_look
        others = [x for key, x in zip(layer_keys(look), look.layers, strict=True) if key != self.chosen]
        lines = lines_of(self.scene.spread.wall, others, STEP_M[self.scene.show.lengths])
        return dragged(box, grip, x1 - x0, y1 - y0, aspect, lines, 0.0 if loose else self._reach_m())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._held is None:
            return
        box = self._box(event) if self._moved else None
        self._held = None
        self.dropped.emit(None if box is None else self._own(box))

    def _own(self, box: Box) -> dict[str, Any]:
        """A place in the metres of the layer's own surface."""
        assert self.scene is not None
        off_m = self.scene.spread.off_m.get(self.scene.surface(self.chosen).id, (0.0, 0.0))
        return placed(Box(box.left - off_m[0], box.bottom - off_m[1], box.width, box.height))

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Over the chosen layer the wheel is its opacity."""
        self._wheel += event.angleDelta().y()
        steps, notch = int(self._wheel / NOTCH), self._under() == self.chosen is not None
        self._wheel -= steps * NOTCH
        if steps and notch and self.editable:
            self.faded.emit(steps)

    def leaveEvent(self, _event: object) -> None:
        self.hover = None
        self.update()
