"""What lies over the composed picture of the wall: inputs, layers that are meant, faults."""

from collections.abc import Collection, Mapping, Sequence

from showcaller.desk.areas.wall.pool_use import PoolUse
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QImage, QRectF
from showcaller.model import Wall
from showcaller.screen.faults import Panel, panel_said, surface_names, surface_of
from showcaller.screen.geometry import Rect, layer_rect, panel_grid, panel_rect
from showcaller.screen.spread import GAP


def draw_picture(paper: Paper, image: QImage | None, scene: Scene) -> None:
    """The composed picture over each surface; a plain ground until there is one."""
    for surface in scene.spread.surfaces:
        box = _area(paper, scene, surface.id)
        if image is None:
            paper.fill(box.x(), box.y(), box.width(), box.height(), "panel")
        else:
            paper.painter.drawImage(box, image, _part(image, scene, surface.id))


def each_alone(image: QImage | None, scene: Scene) -> dict[str, QImage]:
    """Each surface's part of the composed picture, by its id; empty until there is one."""
    if image is None:
        return {}
    if not scene.spread.areas:
        return {scene.wall.id: image}
    return {s.id: image.copy(_part(image, scene, s.id).toRect()) for s in scene.spread.surfaces}


def _part(image: QImage, scene: Scene, surface: str) -> QRectF:
    wall, r = scene.spread.wall, scene.spread.area(surface)
    across, down = image.width() / wall.width_px, image.height() / wall.height_px
    return QRectF(r.x * across, r.y * down, r.width * across, r.height * down)


def _area(paper: Paper, scene: Scene, surface: str) -> QRectF:
    return _to_px(paper, scene.spread.wall, scene.spread.area(surface))


def draw_surfaces(paper: Paper, scene: Scene, uses: Sequence[PoolUse]) -> None:
    """The edges of every surface; where there are several, its name over it with the channels of its pool, if
    there is room between them."""
    spread = scene.spread
    room = spread.surfaces[0].width_m * GAP * paper.width / spread.wall.width_m
    named = len(spread.surfaces) > 1 and room >= paper.size("tiny") + paper.px(5)
    for surface in spread.surfaces:
        box = _area(paper, scene, surface.id)
        paper.frame(box.x() + 0.5, box.y() + 0.5, box.width() - 1, box.height() - 1, "faint", 1)
        if named:
            use = next((u for u in uses if surface.id in u.surfaces), None)
            _name(paper, surface.name, box, use)


def draw_inputs(paper: Paper, scene: Scene) -> None:
    """Where one input ends and the next begins."""
    for surface in scene.spread.surfaces:
        area = _area(paper, scene, surface.id)
        across, down = area.width() / surface.width_px, area.height() / surface.height_px
        for i in surface.inputs:
            x, y = area.x() + i.x_px * across, area.y() + i.y_px * down
            if i.x_px:
                paper.line(x, y, x, y + i.height_px * down, "quiet", 1, dotted=True)
            if i.y_px:
                paper.line(x, y, x + i.width_px * across, y, "quiet", 1, dotted=True)


def draw_panels(paper: Paper, scene: Scene, under: Panel | None) -> None:
    """The edges of the panels, and the name of the one under the mouse."""
    for wall in scene.spread.surfaces:
        area, (columns, rows) = _area(paper, scene, wall.id), panel_grid(wall)
        across, down = area.width() / wall.width_px, area.height() / wall.height_px
        for n in range(1, columns):
            x = area.x() + n * wall.panel_px[0] * across
            paper.line(x, area.top(), x, area.bottom(), "line", 1)
        for n in range(1, rows):
            y = area.y() + n * wall.panel_px[1] * down
            paper.line(area.left(), y, area.right(), y, "line", 1)
    box = None if under is None else _panel(paper, scene, under)
    if under is not None and box is not None:
        paper.frame(box.x(), box.y(), box.width(), box.height(), "strong", 2)
        words = panel_said(under, surface_names(scene.show))
        wide = paper.width_of(words, paper.size("tiny")) + paper.px(16)
        x = min(box.x(), paper.width - wide)
        y = min(box.bottom(), paper.height - paper.px(26))
        paper.fill(x, y, wide, paper.px(26), "ground")
        paper.text(x + paper.px(8), y + paper.px(19), words, "tiny", "strong")


def draw_loading(paper: Paper, scene: Scene) -> None:
    """Said over the picture of what was shown before."""
    k = paper.px
    words = f"{scene.plan.items[scene.item].item.name}: its picture is being made …"
    wide = paper.width_of(words, paper.size("small"), "medium") + k(32)
    paper.fill((paper.width - wide) / 2, paper.height / 2 - k(22), wide, k(44), "ground")
    paper.text(paper.width / 2, paper.height / 2 + k(7), words, "small", "strong", "medium", align="centre")


def draw_layers(paper: Paper, scene: Scene, chosen: str | None, under: str | None, editable: bool) -> None:
    """The frame and the name of the chosen layer, and of the one under the mouse."""
    k = paper.px
    names = {s.id: s.name for s in scene.show.sources}
    for one in scene.picture.layers:
        mine = one.key == chosen
        if not mine and one.key != under:
            continue
        box = _to_px(paper, scene.spread.wall, one.rect)
        # A dark line under the light one: seen on any picture.
        paper.frame(box.x(), box.y(), box.width(), box.height(), "ground", 4)
        tone = "strong" if mine else "quiet"
        paper.frame(box.x(), box.y(), box.width(), box.height(), tone, 2, dashed=mine)
        words = names[one.source] + (" · chosen" if mine else "")
        wide = paper.width_of(words, paper.size("tiny"), "medium") + k(16)
        x = min(max(box.x() + k(6), k(4)), paper.width - wide - k(4))
        y = min(max(box.y() + k(6), k(4)), paper.height - k(30))
        paper.fill(x, y, wide, k(26), "ground")
        paper.text(x + k(8), y + k(19), words, "tiny", "strong", "medium")
        if mine and editable:
            _handles(paper, box)
    found = scene.lifted(chosen)
    if found is not None and chosen not in {one.key for one in scene.picture.layers} and not scene.live:
        # It arrives later in this look: where it will lie, to be taken hold of all the same.
        box = _to_px(paper, scene.spread.wall, layer_rect(scene.spread.wall, found))
        paper.frame(box.x(), box.y(), box.width(), box.height(), "ground", 4)
        paper.frame(box.x(), box.y(), box.width(), box.height(), "accent", 2, dashed=True)
        words = f"{names[found.source]} · not there yet"
        wide = paper.width_of(words, paper.size("tiny"), "medium") + k(16)
        paper.fill(box.x() + k(6), box.y() + k(6), wide, k(26), "ground")
        paper.text(box.x() + k(14), box.y() + k(25), words, "tiny", "accent", "medium")
        if editable:
            _handles(paper, box)


def draw_faults(
    paper: Paper, scene: Scene, tonight: Collection[Panel] | Mapping[Panel, str], earlier: Collection[Panel]
) -> None:
    """Faulty panels: those marked tonight loud, those known from before faint."""
    least = paper.px(10)
    faint = [p for p in earlier if p not in tonight]
    for panel, tone in [*((p, "faint") for p in faint), *((p, "caution") for p in tonight)]:
        box = _panel(paper, scene, panel)
        if box is None:
            continue
        wide, high = max(least, box.width()), max(least, box.height())
        x, y = box.center().x() - wide / 2, box.center().y() - high / 2
        paper.frame(x, y, wide, high, "ground", 4)
        paper.frame(x, y, wide, high, tone, 2)


def _panel(paper: Paper, scene: Scene, panel: Panel) -> QRectF | None:
    """Where a panel is drawn; None if its surface is no more."""
    wall = surface_of(scene.show, panel)
    if wall is None:
        return None
    area, r = _area(paper, scene, wall.id), panel_rect(wall, panel.column, panel.row)
    across, down = area.width() / wall.width_px, area.height() / wall.height_px
    return QRectF(area.x() + r.x * across, area.y() + r.y * down, r.width * across, r.height * down)


def _name(paper: Paper, name: str, box: QRectF, use: PoolUse | None) -> None:
    k, y, size = paper.px, box.top() - paper.px(6), paper.size("tiny")
    right, left = box.right(), max(box.left(), k(6))  # clear of the frame round what is on
    if use is not None:
        room = right - left - paper.width_of(name, size) - k(10)
        short = f"{use.used} of {use.limit} ch"
        shared = f"{use.used} of {use.limit} in {use.name}"
        words = short if len(use.surfaces) == 1 or paper.width_of(shared, size) > room else shared
        tone = "standby" if use.over else "quiet"
        if paper.width_of(words, size) <= room:
            right -= paper.text(right, y, words, "tiny", tone, align="right") + k(10)
        elif box.bottom() + size * 1.3 <= paper.height:  # a narrow one: under it
            paper.text(left, box.bottom() + size * 1.2, short, "tiny", tone)
        else:  # on a plate in its lower corner
            words = f"{use.used}/{use.limit}"
            wide = paper.width_of(words, size) + k(8)
            paper.fill(right - wide, box.bottom() - size * 1.4, wide, size * 1.4, "ground")
            paper.text(right - k(4), box.bottom() - size * 0.35, words, "tiny", tone, align="right")
    paper.text(left, y, name, "tiny", "text", room=right - left)


def _to_px(paper: Paper, wall: Wall, rect: Rect) -> QRectF:
    across, down = paper.width / wall.width_px, paper.height / wall.height_px
    return QRectF(rect.x * across, rect.y * down, rect.width * across, rect.height * down)


def _handles(paper: Paper, box: QRectF) -> None:
    side = paper.px(9)
    for x in (box.left(), box.center().x(), box.right()):
        for y in (box.top(), box.center().y(), box.bottom()):
            if (x, y) != (box.center().x(), box.center().y()):
                paper.fill(x - side / 2, y - side / 2, side, side, "ground")
                paper.fill(x - side / 2 + 1, y - side / 2 + 1, side - 2, side - 2, "strong")
