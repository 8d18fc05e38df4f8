"""What the grid shows: its tiles with names, keys and marks, and how a touch brings a look. Pure."""

from typing import Literal

from showcaller.desk.areas.wall.grid_places import LOOKS, PLACES, Ids, SongPlaces, used_in
from showcaller.desk.areas.wall.prepared import NextLook
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.keys import Keys
from showcaller.model import LookChange
from showcaller.screen.picture import Picture, change_words
from showcaller.screen.spread import spread_of
from showcaller.screen.tiles import TileSheet, look_picture, source_picture
from showcaller.timing.plan import Plan
from showcaller.values import Struct

Kind = Literal["look", "source", ""]

HOW: tuple[tuple[Literal["cut", "mix", "move"], float], ...] = (
    ("cut", 0), ("mix", 1), ("mix", 4), ("mix", 8), ("move", 4), ("move", 8),
)  # fmt: skip
"""The changes a touch can bring a look by: how, over how many beats (our choice)."""


class Tile(Struct, frozen=True):
    """A place of the page and what stands in it; ``kind`` is empty where nothing does.

    ``of_song``: the song uses it. ``on``: it is on the wall; ``next``: it is next.
    """

    place: int
    kind: Kind = ""
    id: str = ""
    name: str = ""
    key: str = ""
    of_song: bool = False
    on: bool = False
    next: bool = False

    @property
    def marks(self) -> str:
        """``● on``, ``▲ next``, both, or nothing."""
        return "  ".join(w for w, is_so in (("● on", self.on), ("▲ next", self.next)) if is_so)


class GridView(Struct, frozen=True):
    """A page of the grid, in words."""

    song: str
    page: int
    pages: int
    tiles: tuple[Tile, ...]
    how: int
    live: bool

    @property
    def title(self) -> str:
        """``First Light · page 1 of 2``."""
        return f"{self.song} · page {self.page + 1} of {self.pages}" if self.pages > 1 else self.song


def how_words(n: int) -> str:
    """``mix 4``: over so many beats."""
    by, beats = HOW[n]
    return by if by == "cut" else f"{by} {beats:g}"


def how_change(look: str, n: int) -> LookChange:
    """The change by which a touch brings a look."""
    by, beats = HOW[n]
    return LookChange(look=look, by=by, beats=beats)


def how_said(n: int) -> str:
    """``mix over 4 beats``."""
    return change_words(how_change("any", n))


def grid_view(
    scene: Scene, coming: NextLook | None, places: SongPlaces, page: int, how: int, keys: Keys
) -> GridView:
    """The page as it stands now."""
    item = scene.plan.items[scene.item].item
    page = min(page, places.pages - 1)
    tiles = _tiles(scene, coming, places.page(page), keys)
    return GridView(item.name, page, places.pages, tiles, how, scene.live)


def _tiles(scene: Scene, coming: NextLook | None, ids: Ids, keys: Keys) -> tuple[Tile, ...]:
    show, standing = scene.show, scene.standing.look
    on_look = scene.on.shown.look if scene.on is not None else standing.id
    on_sources = scene.picture.sources
    next_look = coming.look.id if coming is not None else ""
    next_sources = frozenset(x.source for x in coming.look.layers) if coming is not None else frozenset()
    used = used_in(show, scene.plan.items[scene.item].item.id)
    looks = {k.id: k.name for k in show.looks}
    sources = {s.id: s.name for s in show.sources}
    seen = {x.source for k in show.looks if k.id in used for x in k.layers}
    found = []
    for place, ident in enumerate(ids):
        key = keys[f"tile.put_{place + 1}"]
        if ident is None or ident not in (looks if place < LOOKS else sources):
            found.append(Tile(place, key=key))
        elif place < LOOKS:
            found.append(Tile(place, "look", ident, looks[ident], key, ident in used,
                              ident == on_look, ident == next_look))  # fmt: skip
        else:
            found.append(Tile(place, "source", ident, sources[ident], key, ident in seen,
                              ident in on_sources, ident in next_sources))  # fmt: skip
    return tuple(found)


def sheet(plan: Plan, view: GridView, since_s: float, columns: int) -> TileSheet | None:
    """What is composed for a page; every source so many seconds in. None for a show without a wall."""
    show = plan.show
    if show.wall is None:
        return None
    spread = spread_of(show)
    looks, sources = {k.id: k for k in show.looks}, {s.id: s for s in show.sources}
    made: list[Picture | None] = []
    for tile in view.tiles:
        if tile.kind == "look":
            made.append(look_picture(spread, looks[tile.id], since_s))
        elif tile.kind == "source":
            made.append(source_picture(spread.wall, sources[tile.id], since_s))
        else:
            made.append(None)
    assert len(made) == PLACES
    return TileSheet(tuple(made), columns)
