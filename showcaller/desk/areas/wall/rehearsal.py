"""A song played against the clock in the wall area, looks tried on the spot, two editions compared. No Qt.

Time is given, never taken: ``now_s`` is any clock that only goes on.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from showcaller.model import LookChange
from showcaller.screen.looks import Change, Looks, arrange, carried, looks_of, overridden, resolved
from showcaller.timing.plan import Plan


@dataclass(slots=True)
class Rehearsal:
    """Where the song is, and whether it goes on.

    Attributes:
        item: the item's id.
        from_s: where it stood at ``since_s`` of the clock; there it stands while it is not ``playing``.
        tried: looks tried and not yet kept or discarded, by the cue they stand in for.
    """

    item: str = ""
    from_s: float = 0.0
    since_s: float = 0.0
    playing: bool = False
    tried: dict[tuple[str, str], LookChange] = field(default_factory=dict)

    def at_s(self, now_s: float, length_s: float) -> float:
        """Seconds into the item."""
        at_s = self.from_s + (now_s - self.since_s if self.playing else 0.0)
        return min(max(0.0, at_s), length_s)

    def choose(self, item: str) -> None:
        """Another item, at its start."""
        if item != self.item:
            self.item, self.from_s, self.playing = item, 0.0, False

    def seek(self, at_s: float, now_s: float) -> None:
        """Go to a place; playing goes on."""
        self.from_s, self.since_s = max(0.0, at_s), now_s

    def toggle(self, now_s: float, length_s: float) -> None:
        """Play or stop; from the end it begins again."""
        at_s = self.at_s(now_s, length_s)
        self.playing = not self.playing
        self.seek(0.0 if self.playing and at_s >= length_s else at_s, now_s)


def looks_with(plan: Plan, item: int, tried: Mapping[tuple[str, str], LookChange]) -> Looks:
    """An item's looks as planned, with those that are tried in the place of the planned ones."""
    planned = plan.items[item]
    mine = {cue: change for (item_id, cue), change in tried.items() if item_id == planned.item.id}
    if not mine:
        return looks_of(plan, item)
    by_id = {k.id: k for k in plan.show.looks}
    changes: list[Change] = []
    for c in planned.cues:
        change = mine.get(c.cue.id, c.cue.look)
        if change is not None and change.look in by_id:
            changes.append((c.at_s, change, overridden(by_id[change.look], change.overrides), c.cue.id))
    before = mine.get("")
    first = (
        resolved(plan.show, before) if before is not None and before.look in by_id else carried(plan, item)
    )
    return arrange(planned, changes, first)
