"""Layers taken by the mouse or moved by keys: which is under it, where it lies then. Metres; no Qt."""

from collections.abc import Iterable
from typing import Any

from showcaller.model import Layer, Source, Wall
from showcaller.model.wall import WallInput
from showcaller.screen.geometry import natural_aspect
from showcaller.screen.measures import INCH_M
from showcaller.values import Struct

STEP_M = {"m": 0.01, "ft": INCH_M}
"""What a layer let go of anywhere is rounded to, by what the show measures in."""

LEAST_M = 0.1
"""A layer is never made smaller than this by hand."""

NUDGE_M = {"m": 0.05, "ft": 2 * INCH_M}
"""One press of an arrow by what the show measures in; with Shift ten times as far."""


class Grip(Struct, frozen=True):
    """What of a layer is held: the whole (0, 0), or an edge or corner: −1 left or lower, 1 right or upper."""

    across: int = 0
    up: int = 0


class Box(Struct, frozen=True):
    """A layer's place, metres from the wall's lower left corner."""

    left: float
    bottom: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width

    @property
    def top(self) -> float:
        """Its upper edge."""
        return self.bottom + self.height


def box_of(layer: Layer) -> Box:
    """A layer's place."""
    return Box(layer.left_m, layer.bottom_m, layer.width_m, layer.height_m)


def input_box(wall: Wall, one: WallInput) -> Box:
    """Where an input lies on its surface."""
    across, up = wall.width_m / wall.width_px, wall.height_m / wall.height_px
    bottom = wall.height_m - (one.y_px + one.height_px) * up
    return Box(one.x_px * across, bottom, one.width_px * across, one.height_px * up)


def grip_at(box: Box, x_m: float, y_m: float, reach_m: float) -> Grip | None:
    """What is under a point: a corner or an edge within ``reach_m``, the inside; None outside."""
    near_x = -1 if abs(x_m - box.left) <= reach_m else 1 if abs(x_m - box.right) <= reach_m else 0
    near_y = -1 if abs(y_m - box.bottom) <= reach_m else 1 if abs(y_m - box.top) <= reach_m else 0
    inside_x = box.left - reach_m <= x_m <= box.right + reach_m
    inside_y = box.bottom - reach_m <= y_m <= box.top + reach_m
    if not (inside_x and inside_y):
        return None
    # In a layer hardly larger than the reach the whole is meant more often than an edge.
    if box.width < 4 * reach_m and near_x:
        near_x = 0 if abs(x_m - (box.left + box.right) / 2) < box.width / 4 else near_x
    return Grip(near_x, near_y)


def layer_at(layers: tuple[Layer, ...], x_m: float, y_m: float) -> int | None:
    """The front layer under a point."""
    for n in range(len(layers) - 1, -1, -1):
        box = box_of(layers[n])
        if box.left <= x_m <= box.right and box.bottom <= y_m <= box.top:
            return n
    return None


def dragged(
    box: Box, grip: Grip, dx_m: float, dy_m: float, aspect: float | None, lines: "Lines", reach_m: float
) -> Box:
    """The box after its grip was moved so far.

    ``aspect`` (width ÷ height) is kept while a corner or edge is moved, None lets it go; edges that come
    within ``reach_m`` of a line lie on it.
    """
    if not grip.across and not grip.up:
        left = _to_line(box.left + dx_m, box.width, lines.across, reach_m, lines.step_m)
        bottom = _to_line(box.bottom + dy_m, box.height, lines.up, reach_m, lines.step_m)
        return Box(left, bottom, box.width, box.height)
    left, right, bottom, top = box.left, box.right, box.bottom, box.top
    if grip.across < 0:
        left = min(_near(left + dx_m, lines.across, reach_m, lines.step_m), right - LEAST_M)
    elif grip.across > 0:
        right = max(_near(right + dx_m, lines.across, reach_m, lines.step_m), left + LEAST_M)
    if grip.up < 0:
        bottom = min(_near(bottom + dy_m, lines.up, reach_m, lines.step_m), top - LEAST_M)
    elif grip.up > 0:
        top = max(_near(top + dy_m, lines.up, reach_m, lines.step_m), bottom + LEAST_M)
    if aspect is None:
        return Box(left, bottom, right - left, top - bottom)
    width, height = right - left, top - bottom
    if not grip.across or (grip.up and width / aspect < height):
        width = height * aspect
    else:
        height = width / aspect
    if grip.across < 0:
        left = right - width
    elif not grip.across:
        left = (left + right - width) / 2
    if grip.up < 0:
        bottom = top - height
    elif not grip.up:
        bottom = (bottom + top - height) / 2
    return Box(left, bottom, width, height)


class Lines(Struct, frozen=True):
    """Where edges like to lie, in metres: the wall's, the inputs', other layers'; elsewhere on whole steps, a
    centimetre or an inch, if there are any."""

    across: tuple[float, ...] = ()
    up: tuple[float, ...] = ()
    step_m: float = 0.0


def lines_of(wall: Wall, others: Iterable[Layer], step_m: float = 0.0) -> Lines:
    """The lines of a wall and of the layers that are not moved."""
    xs = {0.0, wall.width_m, wall.width_m / 2}
    ys = {0.0, wall.height_m, wall.height_m / 2}
    for box in [*(input_box(wall, i) for i in wall.inputs), *(box_of(layer) for layer in others)]:
        xs |= {box.left, box.right}
        ys |= {box.bottom, box.top}
    return Lines(tuple(sorted(xs)), tuple(sorted(ys)), step_m)


def _near(value: float, lines: tuple[float, ...], reach: float, step: float) -> float:
    best = min(lines, key=lambda line: abs(line - value), default=None)
    return best if best is not None and abs(best - value) <= reach else _stepped(value, step)


def _stepped(value: float, step: float) -> float:
    return round(value / step) * step if step else value


def _to_line(low: float, length: float, lines: tuple[float, ...], reach: float, step: float) -> float:
    """A length moved so that one of its ends lies on the line that is nearest to one."""
    ends = [(abs(line - end), line - off) for off in (0.0, length) for end in (low + off,) for line in lines]
    best = min(ends, default=(reach + 1, low))
    return best[1] if best[0] <= reach else _stepped(low, step)


def placed(box: Box) -> dict[str, Any]:
    """The fields of a layer at this place, to a tenth of a millimetre, in which whole inches are exact."""
    return {
        "left_m": round(box.left, 4),
        "bottom_m": round(box.bottom, 4),
        "width_m": round(max(LEAST_M, box.width), 4),
        "height_m": round(max(LEAST_M, box.height), 4),
    }


def fitted(layer: Layer, source: Source) -> Box:
    """The layer at its width, its height so that the picture is not distorted."""
    aspect = natural_aspect(layer, source)
    box = box_of(layer)
    return box if aspect is None else Box(box.left, box.bottom, box.width, box.width / aspect)
