"""Where looks and sources stand in the grid: fixed places, page by page, for every song. Pure.

A place once taken is kept as long as the look or source is there; what is new stands behind all others, so
that nothing moves under a finger.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from showcaller.model import Show
from showcaller.values import Struct

COLUMNS = 7
LOOK_ROWS, SOURCE_ROWS = 2, 1
LOOKS, SOURCES = COLUMNS * LOOK_ROWS, COLUMNS * SOURCE_ROWS
PLACES = LOOKS + SOURCES
"""Places of a page: as many as there are letters in seven columns of every keyboard's three rows."""

Ids = tuple[str | None, ...]


class SongPlaces(Struct, frozen=True):
    """A song's looks and sources, place by place over all its pages; None where one has gone."""

    looks: Ids = ()
    sources: Ids = ()

    @property
    def pages(self) -> int:
        """How many pages they fill; one at least."""
        return max(1, -(-len(self.looks) // LOOKS), -(-len(self.sources) // SOURCES))

    def page(self, number: int) -> Ids:
        """What stands on a page (from 0): ``LOOKS`` looks, then ``SOURCES`` sources."""
        return (
            *_part(self.looks, number, LOOKS),
            *_part(self.sources, number, SOURCES),
        )


def _part(ids: Ids, number: int, size: int) -> Ids:
    part = ids[number * size : (number + 1) * size]
    return part + (None,) * (size - len(part))


def used_in(show: Show, item: str) -> frozenset[str]:
    """Ids of the looks an item's cues bring."""
    found = next((i for i in show.items if i.id == item), None)
    return frozenset(cue.look.look for cue in found.cues if cue.look) if found is not None else frozenset()


def in_order(show: Show, item: str) -> SongPlaces:
    """First what the item uses, then all the rest; both in the order of the document."""
    used = used_in(show, item)
    seen = {layer.source for look in show.looks if look.id in used for layer in look.layers}
    looks = sorted(show.looks, key=lambda k: k.id not in used)
    sources = sorted(show.sources, key=lambda s: s.id not in seen)
    return SongPlaces(tuple(k.id for k in looks), tuple(s.id for s in sources))


def settled(before: Ids, wanted: Iterable[str | None]) -> Ids:
    """What is there in the places it had, what is new behind it, a hole where one has gone."""
    wanted = [w for w in wanted if w is not None]
    kept = [i if i in wanted else None for i in before]
    return (*kept, *(w for w in wanted if w not in before))


@dataclass(slots=True)
class Places:
    """Remembers every song's places while the desk is open."""

    _songs: dict[str, SongPlaces] = field(default_factory=dict)

    def of(self, show: Show, item: str) -> SongPlaces:
        """An item's places, by its id."""
        wanted, before = in_order(show, item), self._songs.get(item)
        if before is not None:
            wanted = SongPlaces(settled(before.looks, wanted.looks), settled(before.sources, wanted.sources))
        self._songs[item] = wanted
        return wanted
