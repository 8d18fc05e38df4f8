"""Small pictures side by side: what every look and source of a page is like, at one instant.

All tiles of a sheet are as wide and high as each other and made of the same instant, so that a source that
lies in five looks is fetched and made small once.
"""

import cv2

from showcaller.model import Crop, Look, Source, Wall
from showcaller.screen.compose.canvas import Canvas, Frames
from showcaller.screen.compose.pool import Pixels, Weights
from showcaller.screen.geometry import Rect
from showcaller.screen.looks import layer_keys
from showcaller.screen.picture import Picture, Placed, place
from showcaller.screen.playback import Playing
from showcaller.screen.spread import WallSpread, spread_look
from showcaller.values import Struct

DETAIL = 2
"""A source is made small to so many times a tile's width before it is laid into any: it may be cropped."""


class TileSheet(Struct, frozen=True):
    """``tiles`` row by row, ``columns`` in each; None leaves a tile black."""

    tiles: tuple[Picture | None, ...]
    columns: int

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return -(-len(self.tiles) // self.columns)


def look_picture(spread: WallSpread, look: Look, since_s: float) -> Picture:
    """A look at rest on all surfaces, its sources so many seconds in."""
    there, areas = spread_look(spread, look), spread.areas
    return Picture(
        tuple(
            place(spread.wall, x, key, since_s, area=areas.get(x.surface or ""))
            for key, x in zip(layer_keys(there), there.layers, strict=True)
        )
    )


def source_picture(wall: Wall, source: Source, since_s: float) -> Picture:
    """A source whole and not distorted, in the middle of the wall's shape, so many seconds in."""
    aspect = source.width_px * source.pixel_aspect / source.height_px
    tall = wall.height_px * wall.width_m / wall.height_m / wall.width_px  # px of the grid need not be square
    high = min(float(wall.height_px), wall.width_px * tall / aspect)
    wide = high * aspect / tall
    rect = Rect((wall.width_px - wide) / 2, (wall.height_px - high) / 2, wide, high)
    return Picture((Placed(source.id, source.id, rect, Crop(), 1.0, "none", (), 0.0, since_s),))


def compose_sheet(sheet: TileSheet, canvas: Canvas, frames: Frames, into: Pixels) -> None:
    """Compose every tile with ``canvas``, whose size a tile has, into a sheet (blue, green, red, unused)."""
    small = _made_small(frames, canvas.width * DETAIL)
    for n, picture in enumerate(sheet.tiles):
        x, y = n % sheet.columns * canvas.width, n // sheet.columns * canvas.height
        part = into[y : y + canvas.height, x : x + canvas.width]
        part[:] = 0
        if picture is not None:
            part[..., :3] = canvas.compose(picture, small)


def _made_small(frames: Frames, width: int) -> Frames:
    """The same frames no wider than ``width`` px, each made once."""
    made: dict[tuple[str, float, Playing | None], tuple[Pixels, Weights | None] | None] = {}

    def at(source: str, since_s: float, plays: Playing | None) -> tuple[Pixels, Weights | None] | None:
        key = (source, since_s, plays)
        if key not in made:
            made[key] = _reduced(frames(*key), width)
        return made[key]

    return at


def _reduced(found: tuple[Pixels, Weights | None] | None, width: int) -> tuple[Pixels, Weights | None] | None:
    if found is None or found[0].shape[1] <= width:
        return found
    size = (width, max(1, round(found[0].shape[0] * width / found[0].shape[1])))
    pixels = cv2.resize(found[0], size, interpolation=cv2.INTER_AREA)
    alpha = None if found[1] is None else cv2.resize(found[1], size, interpolation=cv2.INTER_AREA)
    return pixels, alpha  # type: ignore[return-value]
