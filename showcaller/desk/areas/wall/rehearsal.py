"""A song played against the clock in the wall area, looks tried on the spot, two editions compared. No Qt.

Time is given, never taken: ``now_s`` is any clock that only goes on.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from showcaller.model import LookChange
from showcaller.screen.looks import Change, Looks, arrange, carried, looks_of, overridden, resolved
from showcaller.timing.plan import Plan

SHUTTLE = (-16.0, -8.0, -4.0, -2.0, -1.0, 0.0, 1.0, 2.0, 4.0, 8.0, 16.0)
"""The speeds that a hand goes through; 0 stands still."""


@dataclass(slots=True)
class Rehearsal:
    """Where the song is, and whether it goes on.

    Attributes:
        item: the item's id.
        from_s: where it stood at ``since_s`` of the clock; there it stands while it is not ``playing``.
        tried: looks tried and not yet kept or discarded, by the cue they stand in for.
        speed: how fast it plays, below 0 backwards.
        loop: from when to when it plays again and again, s.
        places: where each other item was left, s, by its id.
    """

    item: str = ""
    from_s: float = 0.0
    since_s: float = 0.0
    playing: bool = False
    tried: dict[tuple[str, str], LookChange] = field(default_factory=dict)
    speed: float = 1.0
    loop: tuple[float, float] | None = None
    places: dict[str, float] = field(default_factory=dict)

    def at_s(self, now_s: float, length_s: float) -> float:
        """Seconds into the item; in a loop that it has come to, never beyond its end."""
        at_s = self.from_s + ((now_s - self.since_s) * self.speed if self.playing else 0.0)
        if self.playing and self.loop is not None and self.loop[0] <= self.from_s < self.loop[1]:
            start, end = self.loop
            at_s = start + (at_s - start) % (end - start)
        return min(max(0.0, at_s), length_s)

    def rounds(self, now_s: float) -> int:
        """How often it has come back to the loop's start."""
        if not self.playing or self.loop is None or not self.loop[0] <= self.from_s < self.loop[1]:
            return 0
        at_s = self.from_s + (now_s - self.since_s) * self.speed
        return int((at_s - self.loop[0]) // (self.loop[1] - self.loop[0]))

    def shuttle(self, by: int, now_s: float, length_s: float) -> float:
        """A step faster (1) or slower (−1) along ``SHUTTLE``; it plays. Returns the speed."""
        now = self.speed if self.playing else 0.0
        at = SHUTTLE.index(now) if now in SHUTTLE else SHUTTLE.index(0.0)
        speed = SHUTTLE[max(0, min(len(SHUTTLE) - 1, at + by))]
        self.seek(self.at_s(now_s, length_s), now_s)
        self.speed, self.playing = speed or 1.0, speed != 0
        return speed

    def choose(self, item: str) -> None:
        """Another item, where it was left last; one that is new, at its start."""
        if item != self.item:
            self.places[self.item] = self.from_s
            self.item, self.from_s, self.playing, self.loop = item, self.places.get(item, 0.0), False, None

    def seek(self, at_s: float, now_s: float) -> None:
        """Go to a place; playing goes on."""
        self.from_s, self.since_s = max(0.0, at_s), now_s

    def toggle(self, now_s: float, length_s: float) -> None:
        """Play or stop; from the end it begins again."""
        at_s = self.at_s(now_s, length_s)
        self.playing, self.speed = not self.playing, 1.0
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
