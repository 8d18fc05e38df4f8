"""All surfaces of a show laid out in one picture: the main one, the others around it, to one scale. Pure.

Each stands where its ``stands`` says, so that it is found in the same place in every picture of a show. A
show with one surface is that surface: nothing of it is worked out otherwise.
"""

from collections.abc import Iterable, Mapping
from functools import lru_cache

from showcaller.model import Layer, Look, Show, Wall, WallInput
from showcaller.model.base import ById, kept_with_part
from showcaller.screen.geometry import Rect
from showcaller.screen.looks import Looks, Standing, layer_keys
from showcaller.screen.picture import Picture, picture_at
from showcaller.screen.surfaces import placed_on, surfaces_of
from showcaller.values import Struct

GAP = 0.04
"""Between two surfaces, and over the highest, as a part of the main one's width: a name stands there."""


class WallSpread(Struct, frozen=True):
    """``wall`` is as large as all of them together, its grid as fine as the first one's, with the inputs of
    all; ``off_m`` says how far each one's lower left corner lies from its, ``areas`` where each is on its
    grid, px. Both are by id, and of one surface alone empty."""

    wall: Wall
    surfaces: tuple[Wall, ...]
    off_m: Mapping[str, tuple[float, float]]
    areas: Mapping[str, Rect]

    @property
    def first(self) -> str:
        """The id of the first surface."""
        return self.surfaces[0].id

    def area(self, surface: str) -> Rect:
        """Where a surface is, px of the wall's grid."""
        return self.areas.get(surface) or Rect(0, 0, self.wall.width_px, self.wall.height_px)

    def lifted(self, layer: Layer, surface: str) -> Layer:
        """A layer of a surface as it lies on all of it."""
        if not self.off_m:
            return layer
        left_m, bottom_m = self.off_m[surface]
        at = {"left_m": layer.left_m + left_m, "bottom_m": layer.bottom_m + bottom_m, "surface": surface}
        return layer.model_copy(update=at)

    def surface_at(self, x_m: float, y_m: float) -> Wall | None:
        """The surface at a place, metres from the lower left corner of all; None beside them."""
        if not self.off_m:
            return self.surfaces[0]
        for one in self.surfaces:
            left, bottom = self.off_m[one.id]
            if 0 <= x_m - left <= one.width_m and 0 <= y_m - bottom <= one.height_m:
                return one
        return None


def spread_of(show: Show) -> WallSpread:
    """The surfaces of a show, which has one at least."""
    return _spread(tuple(map(ById, show.surfaces)))


@lru_cache(maxsize=16)
def _spread(wrapped: tuple[ById, ...]) -> WallSpread:
    surfaces: tuple[Wall, ...] = tuple(w.part for w in wrapped)
    if len(surfaces) == 1:
        return WallSpread(surfaces[0], surfaces, {}, {})
    main = surfaces[0]
    gap = main.width_m * GAP
    at = {main.id: (0.0, 0.0)}
    left = bottom = 0.0
    right, top = main.width_m, main.height_m
    for one in surfaces[1:]:
        # Outward from what stands there already; in the middle of the main one's height, or width.
        middle_x, middle_y = (main.width_m - one.width_m) / 2, (main.height_m - one.height_m) / 2
        match one.stands:
            case "left":
                left -= gap + one.width_m
                at[one.id] = left, middle_y
            case "right":
                at[one.id] = right + gap, middle_y
                right += gap + one.width_m
            case "above":
                at[one.id] = middle_x, top + gap
                top += gap + one.height_m
            case "below":
                bottom -= gap + one.height_m
                at[one.id] = middle_x, bottom
    boxes = [(*at[s.id], s.width_m, s.height_m) for s in surfaces]
    low_x, low_y = min(b[0] for b in boxes), min(b[1] for b in boxes)
    width_m = max(b[0] + b[2] for b in boxes) - low_x
    height_m = max(b[1] + b[3] for b in boxes) - low_y + gap
    off_m = {s.id: (x - low_x, y - low_y) for s, (x, y, _, _) in zip(surfaces, boxes, strict=True)}
    across, down = main.width_px / main.width_m, main.height_px / main.height_m
    areas = {
        s.id: Rect(off_m[s.id][0] * across, (height_m - off_m[s.id][1] - s.height_m) * down,
                   s.width_m * across, s.height_m * down)
        for s in surfaces
    }  # fmt: skip
    size = {"width_m": width_m, "height_m": height_m}
    grid = {"width_px": round(width_m * across), "height_px": round(height_m * down)}
    inputs = tuple(_input(i, s, areas[s.id]) for s in surfaces for i in s.inputs)
    return WallSpread(main.model_copy(update={**size, **grid, "inputs": inputs}), surfaces, off_m, areas)


def _input(one: WallInput, of: Wall, area: Rect) -> WallInput:
    across, down = area.width / of.width_px, area.height / of.height_px
    x, y = area.x + one.x_px * across, area.y + one.y_px * down
    size = {"width_px": round(one.width_px * across), "height_px": round(one.height_px * down)}
    return one.model_copy(update={"x_px": round(x), "y_px": round(y), **size})


def spread_look(spread: WallSpread, look: Look) -> Look:
    """A look with a layer for each place of each of its layers, metres from the lower left corner of all; the
    very same where there is one surface."""
    return _spread_look(spread, look)[0]


def _spread_look(spread: WallSpread, look: Look) -> tuple[Look, tuple[int, ...]]:
    """The same, and for each layer the place of its own in the look."""
    if not spread.off_m:
        return look, tuple(range(len(look.layers)))
    known = _known(look)
    found = next(iter(known), None)  # a thread may put another there meanwhile
    if found is None or found[0] is not spread:
        made = tuple(_each(spread, look))
        layers, places = tuple(layer for _, layer in made), tuple(n for n, _ in made)
        found = spread, Look.model_construct(id=look.id, name=look.name, layers=layers), places
        known[:] = [found]
    return found[1:]


@kept_with_part
def _known(_look: Look) -> list[tuple[WallSpread, Look, tuple[int, ...]]]:
    return []


def _each(spread: WallSpread, look: Look) -> Iterable[tuple[int, Layer]]:
    for n, (key, layer) in enumerate(zip(layer_keys(look), look.layers, strict=True)):
        for surface in surfaces_of(layer, spread.first):
            there = placed_on(layer, key, surface, spread.first)
            if there is not None and surface in spread.off_m:
                yield n, spread.lifted(there, surface)


def spread_picture(spread: WallSpread, looks: Looks, at_s: float) -> Picture:
    """What is on all surfaces at an instant of an item."""
    if not spread.off_m:
        return picture_at(spread.wall, looks, at_s)
    n = looks.index_at(at_s)
    seen = tuple(_standing(spread, s) for s in looks.standing[max(0, n - 1) : n + 1])
    return picture_at(spread.wall, Looks(looks.planned, seen, looks.length_s), at_s, spread.areas)


def _standing(spread: WallSpread, standing: Standing) -> Standing:
    look, places = _spread_look(spread, standing.look)
    return standing._replace(look=look, since_s=tuple(standing.since_s[n] for n in places))
