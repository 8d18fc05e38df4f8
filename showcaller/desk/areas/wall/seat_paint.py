"""The surfaces as they are seen from a place: floor, stage, their pictures, what stands before them."""

from collections.abc import Mapping, Sequence

import numpy as np

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import LEADING, Paper, wrapped
from showcaller.desk.qt import QImage, QPainter, QPen, QPointF, QPolygonF, Qt, QTransform
from showcaller.model import House, HousePlace, Show, Wall
from showcaller.screen.from_seats import (
    PERSON_M,
    Block,
    Points,
    blocks_of,
    corners,
    eye_of,
    focal_px,
    house_of,
    projected,
)
from showcaller.screen.on_stage import OnStage, on_stage
from showcaller.values import Struct

_SIDES = ((0, 1, 3, 2), (4, 5, 7, 6), (0, 1, 5, 4), (2, 3, 7, 6), (1, 3, 7, 5))
"""The sides of a box that can be seen, by its corners."""


class _View(Struct, frozen=True):
    """From where, and how large."""

    wall: Wall
    house: House
    place: HousePlace
    size: tuple[int, int]
    focal: float

    def at(self, points: Points) -> tuple[Points, bool]:
        """Points in the picture, and whether all lie before the eye."""
        found, ahead = projected(self.wall, self.house, self.place, points, self.size, self.focal)
        return found, bool(ahead.all())


def draw_seat(paper: Paper, parts: Mapping[str, QImage], show: Show, place: HousePlace) -> None:
    """Everything, the farthest first; ``parts`` are the surfaces' pictures by their ids."""
    surfaces, eye = on_stage(show), eye_of(place)
    wall, house, size = (
        surfaces[0].wall,
        house_of(surfaces[0].wall, show.house),
        (int(paper.width), int(paper.height)),
    )
    also = np.concatenate([one.corners for one in surfaces])
    view = _View(wall, house, place, size, focal_px(wall, house, place, size, also))
    paper.fill(0, 0, paper.width, paper.height, "ground")
    _floor(paper, view)
    stage, *towers = blocks_of(house)
    # The main wall stands behind the stage, a floor lies on it.
    far = sorted(surfaces, key=lambda one: (not one.upright, -float(np.linalg.norm(one.middle - eye))))
    for one in (one for one in far if one.upright):
        _surface(paper, view, one, parts)
    _block(paper, view, stage, "panel")
    for one in (one for one in far if not one.upright):
        _surface(paper, view, one, parts)
    _person(paper, view)
    for tower in sorted(towers, key=lambda t: t.low[1]):
        if tower.low[1] < place.y_m:
            _block(paper, view, tower, "raised")
    for one in surfaces[1:]:
        _label(paper, view, one)


def _surface(paper: Paper, view: _View, one: OnStage, parts: Mapping[str, QImage]) -> None:
    """A surface with its picture; from behind its dark back."""
    quad, ahead = view.at(one.corners)
    if not ahead:
        return
    image = parts.get(one.wall.id)
    if image is not None and one.seen_from(eye_of(view.place)):
        _picture(paper, image, quad)
    paper.painter.setPen(QPen(colour("faint"), 1))
    paper.painter.setBrush(Qt.BrushStyle.NoBrush if image is not None else colour("panel"))
    if not one.seen_from(eye_of(view.place)):
        paper.painter.setBrush(colour("ground"))
    paper.painter.drawPolygon(_polygon(quad))
    paper.painter.setBrush(Qt.BrushStyle.NoBrush)


def _label(paper: Paper, view: _View, one: OnStage) -> None:
    """Its name over it, within the picture."""
    quad, ahead = view.at(one.corners)
    if not ahead:
        return
    k, name = paper.px, one.wall.name
    wide = paper.width_of(name, paper.size("tiny"))
    x = min(max(float(quad[:, 0].mean()) - wide / 2, k(6)), paper.width - wide - k(6))
    y = max(float(quad[:, 1].min()) - k(6), k(18))
    paper.text(x, y, name, "tiny", "text")


def draw_seen(paper: Paper, x: float, y: float, room: float, foot: float, lines: Sequence[str]) -> None:
    """What can be said of each surface from there, one under the other."""
    step, size = paper.size("tiny") * LEADING, paper.size("tiny")
    for words in lines:
        wrapped_ = wrapped(words, size, room)
        if y + step * len(wrapped_) > foot:
            return
        for n, line in enumerate(wrapped_):
            paper.text(x, y, line, "tiny", "quiet" if n else "text")
            y += step
        y += step * 0.5


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


def _floor(paper: Paper, view: _View) -> None:
    """Lines five metres apart, from the wall to the eyes."""
    far, half = max(5.0, view.place.y_m - 1), view.wall.width_m
    lines = [((x, 0.0, 0.0), (x, far, 0.0)) for x in np.arange(-half, half + 0.1, 5)]
    lines += [((-half, y, 0.0), (half, y, 0.0)) for y in np.arange(0, far, 5)]
    for a, b in lines:
        at, ahead = view.at(np.array([a, b]))
        if ahead:
            (x0, y0), (x1, y1) = at
            paper.line(float(x0), float(y0), float(x1), float(y1), "line", 1)


def _block(paper: Paper, view: _View, block: Block, tone: str) -> None:
    at, ahead = view.at(corners(block))
    if not ahead:
        return
    paper.painter.setPen(QPen(colour("faint"), 1))
    paper.painter.setBrush(colour(tone))
    for side in _SIDES:
        paper.painter.drawPolygon(_polygon(at[list(side)]))
    paper.painter.setBrush(Qt.BrushStyle.NoBrush)


def _person(paper: Paper, view: _View) -> None:
    """Somebody at the edge of the stage, for scale."""
    house = view.house
    y, low = house.stage_depth_m - 1, house.stage_height_m
    points = np.array([(0.0, y, low), (0.0, y, low + PERSON_M * 0.86), (0.0, y, low + PERSON_M)])
    at, ahead = view.at(points)
    if not ahead:
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
