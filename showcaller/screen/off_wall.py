"""What lies beside its surface: seen by nobody, though the look brings it. Pure.

It comes about where a look was laid for a larger wall than tonight's.
"""

from collections.abc import Iterable, Sequence

from showcaller.model import Layer, Look, Show, SurfacePlace
from showcaller.values import Struct

HALF = 0.5
"""A layer of which no more than so much lies on its surface was laid for another one (common practice, no
source): a picture that reaches a little beyond the edge is a wish."""


class OffWall(Struct, frozen=True):
    """A layer of a look, the surface it should be seen on, and the share of it that is, 0 at most half."""

    look: str
    source: str
    surface: str
    share: float

    @property
    def words(self) -> str:
        """``“Gulls”: Front camera lies beside Main wall``."""
        part = f"lies beside {self.surface}" if not self.share else f"has {self.share:.0%} on {self.surface}"
        return f"“{self.look}”: {self.source} {part}"


def off_wall(show: Show, looks: Iterable[Look]) -> tuple[OffWall, ...]:
    """Layers of which at most half lies on a surface that they are laid on, each look, layer and surface
    once, in the order of the looks."""
    if show.wall is None:
        return ()
    names = {s.id: s.name for s in show.sources}
    walls = {w.id: w for w in show.surfaces}
    found: dict[OffWall, None] = {}
    for look in looks:
        for layer in look.layers:
            places: tuple[Layer | SurfacePlace, ...] = (layer, *layer.also)
            for place in places:
                wall = walls[place.surface or show.wall.id]
                wide = _overlap(place.left_m, place.width_m, wall.width_m)
                high = _overlap(place.bottom_m, place.height_m, wall.height_m)
                if wide * high <= HALF:
                    found[OffWall(look.name, names[layer.source], wall.name, wide * high)] = None
    return tuple(found)


def off_wall_words(found: Sequence[OffWall]) -> str:
    """One sentence; empty where all is on its surface. The first is named, the others are counted."""
    if not found:
        return ""
    looks = len({one.look for one in found})
    more = f", and {len(found) - 1} more in {looks} looks" if len(found) > 1 and looks > 1 else ""
    more = f", and {len(found) - 1} more" if len(found) > 1 and looks == 1 else more
    return f"{found[0].words}{more}."


def _overlap(from_m: float, size_m: float, wall_m: float) -> float:
    """The share of a side that lies between a surface's edges, 0 to 1."""
    inside_m = min(from_m + size_m, wall_m) - max(from_m, 0.0)
    return max(0.0, inside_m) / size_m
