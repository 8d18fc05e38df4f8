"""Positions that can have a page: the show's departments, and those who give its clearances. Pure."""

from showcaller.model import Cue, Show
from showcaller.values import Struct

WINGS = "w:"
"""The key of the big screen in the wings: nobody's cues, the item that is on and the next one."""

GALLERY = "g:"
"""The key of the one in the gallery: every source of the wall with what it is doing."""

CLOCK = "t:"
"""The key of the clock: the time of day, as large as it goes."""


class Position(Struct, frozen=True):
    """A place somebody works at during the show.

    ``key`` is what links and pages name it by; ``department`` is the id of its department, empty for
    somebody who only clears or ticks; ``clearances`` are the ids of those that are its to give,
    ``checklists`` those of the pages that are its to tick.
    """

    key: str
    name: str
    department: str = ""
    shape: str = ""
    hue: str = ""
    clearances: tuple[str, ...] = ()
    checklists: tuple[str, ...] = ()

    def concerns(self, cue: Cue) -> bool:
        """Whether a cue is this position's: its department's, or one that waits for its clearance."""
        return cue.department == self.department or any(need in self.clearances for need in cue.needs)


def positions_of(show: Show) -> tuple[Position, ...]:
    """Departments in the show's order, then whoever else clears or ticks, then the big screens. A department
    clears and ticks what names it."""
    clears: dict[str, list[str]] = {}
    ticks: dict[str, list[str]] = {}
    names: dict[str, str] = {}
    for clearance in show.clearances:
        names.setdefault(clearance.position.casefold(), clearance.position)
        clears.setdefault(clearance.position.casefold(), []).append(clearance.id)
    for page in show.pages:
        if page.kind == "checklist":
            names.setdefault(page.reader.casefold(), page.reader)
            ticks.setdefault(page.reader.casefold(), []).append(page.id)
    found = [
        Position(
            f"d:{d.id}", d.name, d.id, d.shape, d.hue,
            tuple(clears.pop(d.name.casefold(), ())), tuple(ticks.pop(d.name.casefold(), ())),
        )
        for d in show.departments
    ]  # fmt: skip
    others = [
        Position(
            f"c:{names[key]}",
            names[key],
            clearances=tuple(clears.get(key, ())),
            checklists=tuple(ticks.get(key, ())),
        )
        for key in {**clears, **ticks}
    ]
    screens = [Position(WINGS, "Wings"), Position(CLOCK, "Clock")]
    if show.wall is not None and show.sources:
        screens.insert(1, Position(GALLERY, "Gallery"))
    return (*found, *others, *screens)
