"""Metres on the wall to pixels of its inputs. The wall's origin is its lower left corner in metres, and the
upper left corner of its grid in px.
"""

from typing import NamedTuple

from showcaller.model import Layer, Source, Wall, WallInput
from showcaller.model.base import kept_with_part
from showcaller.values import Struct

LIGHTS_NONE_PX = 0.5
"""A part of a layer narrower than this covers no pixel's middle, so it lights none and costs no channel."""


class Rect(Struct, frozen=True):
    """A rectangle from its left, top corner; px, may be fractions of one."""

    x: float
    y: float
    width: float
    height: float

    @property
    def area(self) -> float:
        """Square px."""
        return self.width * self.height

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height

    def meet(self, other: "Rect") -> "Rect | None":
        """The part both cover; None if they do not overlap."""
        x0, y0 = max(self.x, other.x), max(self.y, other.y)
        x1 = min(self.x + self.width, other.x + other.width)
        y1 = min(self.y + self.height, other.y + other.height)
        return Rect(x0, y0, x1 - x0, y1 - y0) if x1 > x0 and y1 > y0 else None

    def within(self, other: "Rect", slack: float = 0.0) -> bool:
        """Whether it lies inside the other, give or take ``slack``."""
        return (
            self.x >= other.x - slack
            and self.y >= other.y - slack
            and self.right <= other.right + slack
            and self.bottom <= other.bottom + slack
        )

    def scaled(self, across: float, down: float) -> "Rect":
        """The same on a grid so many times as fine."""
        return Rect(self.x * across, self.y * down, self.width * across, self.height * down)


class Piece(Struct, frozen=True):
    """What one input shows of one layer.

    Attributes:
        input: the input.
        on_wall: where on the wall's grid, px.
        in_raster: where in the picture that goes down the input's cable, px.
        crop: which part of the source, px of the source.
    """

    input: WallInput
    on_wall: Rect
    in_raster: Rect
    crop: Rect


def wall_rect(wall: Wall) -> Rect:
    """The whole grid."""
    return Rect(0, 0, wall.width_px, wall.height_px)


def input_rect(wall_input: WallInput) -> Rect:
    """The part of the wall an input feeds."""
    return Rect(wall_input.x_px, wall_input.y_px, wall_input.width_px, wall_input.height_px)


def raster_px(wall_input: WallInput) -> tuple[int, int]:
    """Width and height of the picture that goes down an input's cable."""
    if wall_input.raster_px is not None:
        return wall_input.raster_px
    size = wall_input.width_px, wall_input.height_px
    return size if wall_input.rotation in (0, 180) else (size[1], size[0])


def layer_rect(wall: Wall, layer: Layer) -> Rect:
    """Where a layer lies on the wall's grid; may reach outside it."""
    across = wall.width_px / wall.width_m
    down = wall.height_px / wall.height_m
    top_m = wall.height_m - layer.bottom_m - layer.height_m
    return Rect(layer.left_m * across, top_m * down, layer.width_m * across, layer.height_m * down)


def in_raster(wall_input: WallInput, part: Rect) -> Rect:
    """A part of the wall's grid, inside an input's part of it, in that input's raster.

    The raster is turned clockwise by the input's rotation on its way to the wall: at 90 its upper left corner
    is the wall's upper right.
    """
    left = (part.x - wall_input.x_px) / wall_input.width_px
    top = (part.y - wall_input.y_px) / wall_input.height_px
    wide, high = part.width / wall_input.width_px, part.height / wall_input.height_px
    match wall_input.rotation:
        case 90:
            unit = Rect(top, 1 - left - wide, high, wide)
        case 180:
            unit = Rect(1 - left - wide, 1 - top - high, wide, high)
        case 270:
            unit = Rect(1 - top - high, left, high, wide)
        case _:
            unit = Rect(left, top, wide, high)
    return unit.scaled(*raster_px(wall_input))


def source_part(layer: Layer, source: Source, rect: Rect, part: Rect) -> Rect:
    """Which part of the source a part of a layer (which lies at ``rect``) shows; px of the source."""
    left, wide = (part.x - rect.x) / rect.width, part.width / rect.width
    top, high = (part.y - rect.y) / rect.height, part.height / rect.height
    if layer.flip in ("across", "both"):
        left = 1 - left - wide
    if layer.flip in ("down", "both"):
        top = 1 - top - high
    shown = crop_rect(layer, source)
    return Rect(
        shown.x + left * shown.width,
        shown.y + top * shown.height,
        wide * shown.width,
        high * shown.height,
    )


def crop_rect(layer: Layer, source: Source) -> Rect:
    """What a layer shows of its source, px of the source. Crops that meet leave nothing."""
    crop = layer.crop
    return Rect(
        crop.left * source.width_px,
        crop.top * source.height_px,
        max(0.0, 1 - crop.left - crop.right) * source.width_px,
        max(0.0, 1 - crop.top - crop.bottom) * source.height_px,
    )


def pieces(wall: Wall, layer: Layer, source: Source) -> tuple[Piece, ...]:
    """What each input the layer touches shows of it."""
    rect = layer_rect(wall, layer)
    found = []
    for wall_input in wall.inputs:
        part = rect.meet(input_rect(wall_input))
        if part is not None:
            crop = source_part(layer, source, rect, part)
            found.append(Piece(wall_input, part, in_raster(wall_input, part), crop))
    return tuple(found)


class Grid(NamedTuple):
    """A wall's inputs, quick to ask: a song asks for thousands. ``edges`` are (id, left, top, right, bottom)
    in px; a metre is ``across`` px wide and ``down`` px high."""

    across: float
    down: float
    height_m: float
    edges: tuple[tuple[str, int, int, int, int], ...]

    def place(self, layer: Layer) -> tuple[float, float, float, float]:
        """Left, top, width and height of a layer, as :func:`layer_rect` has them."""
        top_m = self.height_m - layer.bottom_m - layer.height_m
        wide, high = layer.width_m * self.across, layer.height_m * self.down
        return layer.left_m * self.across, top_m * self.down, wide, high

    def lit(self, layer: Layer) -> tuple[str, ...]:
        """Ids of the inputs in which a layer lights pixels."""
        left, top, width, height = self.place(layer)
        right, bottom = left + width, top + height
        found = []
        for name, x0, y0, x1, y1 in self.edges:  # spelled out, as this is most of the time it takes
            wide = (right if right < x1 else x1) - (left if left > x0 else x0)
            if wide >= LIGHTS_NONE_PX:
                high = (bottom if bottom < y1 else y1) - (top if top > y0 else y0)
                if high >= LIGHTS_NONE_PX:
                    found.append(name)
        return tuple(found)


@kept_with_part
def grid_of(wall: Wall) -> Grid:
    """The grid of a wall's inputs."""
    edges = [(i.id, i.x_px, i.y_px, i.x_px + i.width_px, i.y_px + i.height_px) for i in wall.inputs]
    return Grid(wall.width_px / wall.width_m, wall.height_px / wall.height_m, wall.height_m, tuple(edges))


def touched(wall: Wall, layer: Layer) -> tuple[tuple[WallInput, Rect], ...]:
    """The inputs in which a layer lights pixels, each with the part of the layer it shows."""
    rect, lit = layer_rect(wall, layer), grid_of(wall).lit(layer)
    parts = [(i, rect.meet(input_rect(i))) for i in wall.inputs if i.id in lit]
    return tuple((i, part) for i, part in parts if part is not None)


def natural_aspect(layer: Layer, source: Source) -> float | None:
    """Width to height at which the picture is not distorted, pixels being square; None: all is cropped."""
    shown = crop_rect(layer, source)
    return shown.width * source.pixel_aspect / shown.height if shown.area else None


def pixel_pitch_mm(wall: Wall) -> float:
    """Distance between pixels, in mm."""
    return wall.width_m * 1000 / wall.width_px


def panel_grid(wall: Wall) -> tuple[int, int]:
    """How many columns and rows of panels; a last one that is cut counts."""
    return -(-wall.width_px // wall.panel_px[0]), -(-wall.height_px // wall.panel_px[1])


def panel_rect(wall: Wall, column: int, row: int) -> Rect:
    """Where a panel lies on the wall's grid; columns from the left and rows from the top count from 1."""
    wide, high = wall.panel_px
    rect = Rect((column - 1) * wide, (row - 1) * high, wide, high)
    return rect.meet(wall_rect(wall)) or rect
