"""The wall as it is seen from a place: the floor, the stage, the composed picture, what stands before it."""

import numpy as np

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QImage, QPainter, QPen, QPointF, QPolygonF, Qt, QTransform
from showcaller.model import House, HousePlace, Wall
from showcaller.screen.from_seats import PERSON_M, Block, blocks_of, corners, projected, wall_corners

_SIDES = ((0, 1, 3, 2), (4, 5, 7, 6), (0, 1, 5, 4), (2, 3, 7, 6), (1, 3, 7, 5))
"""The sides of a box that can be seen, by its corners."""


def draw_seat(paper: Paper, image: QImage | None, wall: Wall, house: House, place: HousePlace) -> None:
    """Everything, the farthest first."""
    size = int(paper.width), int(paper.height)
    paper.fill(0, 0, paper.width, paper.height, "ground")
    _floor(paper, wall, house, place, size)
    quad, ahead = projected(wall, house, place, wall_corners(wall, house), size)
    if image is not None and ahead.all():
        _picture(paper, image, quad)
    stage, *towers = blocks_of(house)
    _block(paper, wall, house, place, stage, size, "panel")
    _person(paper, wall, house, place, size)
    for tower in sorted(towers, key=lambda t: t.low[1]):
        if tower.low[1] < place.y_m:
            _block(paper, wall, house, place, tower, size, "raised")


def _polygon(points: np.ndarray) -> QPolygonF:
    return QPolygonF([QPointF(float(x), float(y)) for x, y in points])


def _picture(paper: Paper, image: QImage, quad: np.ndarray) -> None:
    wide, high = image.width(), image.height()
    flat = QPolygonF([QPointF(0, 0), QPointF(wide, 0), QPointF(wide, high), QPointF(0, high)])
    way = QTransform.quadToQuad(flat, _polygon(quad))
    if not isinstance(way, QTransform):
        return
    paper.painter.save()
    paper.painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    paper.painter.setTransform(way, True)
    paper.painter.drawImage(0, 0, image)
    paper.painter.restore()


def _floor(paper: Paper, wall: Wall, house: House, place: HousePlace, size: tuple[int, int]) -> None:
    """Lines five metres apart, from the wall to the eyes."""
    far, half = max(5.0, place.y_m - 1), wall.width_m
    lines = [((x, 0.0, 0.0), (x, far, 0.0)) for x in np.arange(-half, half + 0.1, 5)]
    lines += [((-half, y, 0.0), (half, y, 0.0)) for y in np.arange(0, far, 5)]
    for a, b in lines:
        at, ahead = projected(wall, house, place, np.array([a, b]), size)
        if ahead.all():
            (x0, y0), (x1, y1) = at
            paper.line(float(x0), float(y0), float(x1), float(y1), "line", 1)


def _block(
    paper: Paper, wall: Wall, house: House, place: HousePlace, block: Block, size: tuple[int, int], tone: str
) -> None:
    at, ahead = projected(wall, house, place, corners(block), size)
    if not ahead.all():
        return
    paper.painter.setPen(QPen(colour("faint"), 1))
    paper.painter.setBrush(colour(tone))
    for side in _SIDES:
        paper.painter.drawPolygon(_polygon(at[list(side)]))
    paper.painter.setBrush(Qt.BrushStyle.NoBrush)


def _person(paper: Paper, wall: Wall, house: House, place: HousePlace, size: tuple[int, int]) -> None:
    """Somebody at the edge of the stage, for scale."""
    y, low = house.stage_depth_m - 1, house.stage_height_m
    points = np.array([(0.0, y, low), (0.0, y, low + PERSON_M * 0.86), (0.0, y, low + PERSON_M)])
    at, ahead = projected(wall, house, place, points, size)
    if not ahead.all():
        return
    (x, foot), (_, neck), (_, top) = ((float(a), float(b)) for a, b in at)
    tall = max(1.0, foot - top)
    paper.painter.setPen(Qt.PenStyle.NoPen)
    paper.painter.setBrush(colour("quiet"))
    body = ((0.11, 0.0), (0.13, 0.28), (0.06, 0.52), (0.07, 1.0), (0.01, 1.0), (0.0, 0.56))
    side = [(across * tall, neck + down * (foot - neck)) for across, down in body]
    outline = [(x + a, y) for a, y in side] + [(x - a, y) for a, y in reversed(side)]
    paper.painter.drawPolygon(QPolygonF([QPointF(a, y) for a, y in outline]))
    paper.dot(x, (neck + top) / 2, max(1.0, tall * 0.07), "quiet")
