"""A call sheet: what is said for an item, when, and what cannot be said."""

from fractions import Fraction
from typing import Literal

from showcaller.values import Struct

Stretch = tuple[Fraction, Fraction]
"""(start, end) in seconds into the item."""


class CallLine(Struct, frozen=True):
    """One utterance.

    ``cues`` are places in the item's ``cues``; ``go`` is a place in its ``goes``, for a go only. It is said
    from ``starts_s`` for ``takes_s`` and its last word ends at ``lands_s``.
    """

    id: str
    what: Literal["warning", "standby", "go"]
    cues: tuple[int, ...]
    go: int | None
    text: str
    starts_s: Fraction
    takes_s: Fraction
    lands_s: Fraction


class Collision(Struct, frozen=True):
    """Something that cannot be said in time: the cues concerned, when, and what would free them."""

    cues: tuple[int, ...]
    at_s: Fraction
    sentence: str


class CallSheet(Struct, frozen=True):
    """Everything said for an item, in time order, no two lines overlapping.

    A cue that has no standby (or warning, or go) here is named in a collision. ``load`` is the share of the
    item's length, 0 to 1, during which the caller speaks. ``proven`` says that no sheet whatever has fewer
    cues left out, or as few and fewer utterances. Otherwise it is the best of those that say first what is
    due first, and no search for a better order was made or finished (items of more than 16 standbys and
    warnings whose first bound is not met). ``unsaid`` are the goes that other goes leave no time for, in
    time order: they are not in ``lines`` and overlap with them, and still have to be given.
    """

    lines: tuple[CallLine, ...]
    collisions: tuple[Collision, ...]
    load: Fraction
    proven: bool = True
    unsaid: tuple[CallLine, ...] = ()

    @property
    def goes(self) -> tuple[CallLine, ...]:
        """The words of every go of the item, said in time or not, in the order they are due."""
        said = (line for line in self.lines if line.go is not None)
        return tuple(sorted((*said, *self.unsaid), key=lambda line: (line.lands_s, line.go)))


def spoken_intervals(sheet: CallSheet) -> tuple[Stretch, ...]:
    """When the caller speaks, in time order: (start, end) in seconds into the item, for a graph."""
    return tuple((line.starts_s, line.lands_s) for line in sheet.lines)
