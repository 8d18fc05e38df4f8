"""Metres on the wall to pixels of its inputs. The wall's origin is its lower left corner in metres, and the
upper left corner of its grid in px.
"""

from dataclasses import dataclass

from showcaller.model import Layer, Wall, WallInput


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle from its left, top corner; px of the wall's grid, may be fractions of one."""

    x: float
    y: float
    width: float
    height: float

    @property
    def area(self) -> float:
        """Square px."""
        return self.width * self.height

    def meet(self, other: "Rect") -> "Rect | None":
        """The part both cover; None if they do not overlap."""
        x0, y0 = max(self.x, other.x), max(self.y, other.y)
        x1 = min(self.x + self.width, other.x + other.width)
        y1 = min(self.y + self.height, other.y + other.height)
        return Rect(x0, y0, x1 - x0, y1 - y0) if x1 > x0 and y1 > y0 else None


def input_rect(wall_input: WallInput) -> Rect:
    """The part of the wall an input feeds."""
    return Rect(wall_input.x_px, wall_input.y_px, wall_input.width_px, wall_input.height_px)


def layer_rect(wall: Wall, layer: Layer) -> Rect:
    """Where a layer lies on the wall's grid; may reach outside it."""
    across = wall.width_px / wall.width_m
    down = wall.height_px / wall.height_m
    top_m = wall.height_m - layer.bottom_m - layer.height_m
    return Rect(layer.left_m * across, top_m * down, layer.width_m * across, layer.height_m * down)


def touched(wall: Wall, layer: Layer) -> tuple[tuple[WallInput, Rect], ...]:
    """The inputs a layer touches, each with the part of the layer it shows."""
    rect = layer_rect(wall, layer)
    parts = ((i, rect.meet(input_rect(i))) for i in wall.inputs)
    return tuple((i, part) for i, part in parts if part is not None)


def channels(wall: Wall, layer: Layer) -> int:
    """Processing channels a layer takes: one for each input it touches, none if it is passed straight."""
    return 0 if layer.straight else len(touched(wall, layer))


def pixel_pitch_mm(wall: Wall) -> float:
    """Distance between pixels, in mm."""
    return wall.width_m * 1000 / wall.width_px
