"""What lies over the composed picture of the wall: inputs, layers that are meant, faults."""

from collections.abc import Collection, Mapping

from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QImage, QRectF
from showcaller.model import Wall
from showcaller.screen.faults import Panel, panel_name
from showcaller.screen.geometry import Rect, layer_rect, panel_grid, panel_rect


def draw_picture(paper: Paper, image: QImage | None) -> None:
    """The composed picture over all of the paper; a plain ground until there is one."""
    if image is not None:
        paper.painter.drawImage(QRectF(0, 0, paper.width, paper.height), image)
    else:
        paper.fill(0, 0, paper.width, paper.height, "panel")


def draw_inputs(paper: Paper, scene: Scene) -> None:
    """Where one input ends and the next begins."""
    for i in scene.wall.inputs:
        box = _to_px(paper, scene.wall, Rect(i.x_px, i.y_px, i.width_px, i.height_px))
        if i.x_px:
            paper.line(box.left(), box.top(), box.left(), box.bottom(), "quiet", 1, dotted=True)
        if i.y_px:
            paper.line(box.left(), box.top(), box.right(), box.top(), "quiet", 1, dotted=True)


def draw_panels(paper: Paper, scene: Scene, under: Panel | None) -> None:
    """The edges of the panels, and the name of the one under the mouse."""
    wall = scene.wall
    columns, rows = panel_grid(wall)
    across, down = paper.width / wall.width_px, paper.height / wall.height_px
    for n in range(1, columns):
        paper.line(n * wall.panel_px[0] * across, 0, n * wall.panel_px[0] * across, paper.height, "line", 1)
    for n in range(1, rows):
        paper.line(0, n * wall.panel_px[1] * down, paper.width, n * wall.panel_px[1] * down, "line", 1)
    if under is not None:
        box = _to_px(paper, wall, panel_rect(wall, *under))
        paper.frame(box.x(), box.y(), box.width(), box.height(), "strong", 2)
        paper.fill(box.x(), box.bottom(), paper.px(58), paper.px(26), "ground")
        paper.text(box.x() + paper.px(8), box.bottom() + paper.px(19), panel_name(under), "tiny", "strong")


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
        box = _to_px(paper, scene.wall, one.rect)
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
    found = scene.layer(chosen)
    if found is not None and chosen not in {one.key for one in scene.picture.layers} and not scene.live:
        # It arrives later in this look: where it will lie, to be taken hold of all the same.
        box = _to_px(paper, scene.wall, layer_rect(scene.wall, found[1]))
        paper.frame(box.x(), box.y(), box.width(), box.height(), "ground", 4)
        paper.frame(box.x(), box.y(), box.width(), box.height(), "accent", 2, dashed=True)
        words = f"{names[found[1].source]} · not there yet"
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
        box = _to_px(paper, scene.wall, panel_rect(scene.wall, *panel))
        wide, high = max(least, box.width()), max(least, box.height())
        x, y = box.center().x() - wide / 2, box.center().y() - high / 2
        paper.frame(x, y, wide, high, "ground", 4)
        paper.frame(x, y, wide, high, tone, 2)


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
