"""Which cues have been run, and which are otherwise since: what a rehearsal still owes the show. Pure."""

from collections.abc import Callable, Mapping
from typing import Literal

from showcaller.archive.values import CueTimes
from showcaller.model import Cue, Show
from showcaller.values import Struct

CueState = Literal["never run", "changed since", "run"]

_SAME = {"number", "label", "notes"}
"""Fields of a cue that may change without anybody having to rehearse it again."""


class CueRun(Struct, frozen=True):
    """A cue of the book: in how many shows and rehearsals it was fired, and in which last (None: in none).

    ``changed`` are the fields that are otherwise than when it was fired last.
    """

    item: str
    cue: Cue
    times: int = 0
    last: int | None = None
    changed: tuple[str, ...] = ()

    @property
    def state(self) -> CueState:
        """How it stands."""
        return "never run" if self.last is None else "changed since" if self.changed else "run"


def rehearsed(
    book: Show, fired: Mapping[str, CueTimes], show_of: Callable[[int], Show]
) -> tuple[CueRun, ...]:
    """Every cue of tonight's running order, in its order.

    Args:
        fired: by the cue's id; simulated runs are none.
        show_of: the show of an edition, by its number.
    """
    before: dict[int, dict[str, Cue]] = {}

    def then(edition: int, ident: str) -> Cue | None:
        if edition not in before:
            before[edition] = {cue.id: cue for cue in show_of(edition).all_cues()}
        return before[edition].get(ident)

    found = []
    for item in book.items:
        if item.out:
            continue
        for cue in item.cues:
            one = fired.get(cue.id)
            if one is None:
                found.append(CueRun(item.id, cue))
                continue
            was = then(one.edition, cue.id)
            changed = () if was is None else _changed(was, cue)
            found.append(CueRun(item.id, cue, one.times, one.run, changed))
    return tuple(found)


def _changed(was: Cue, now: Cue) -> tuple[str, ...]:
    names = [name for name in type(now).model_fields if name not in _SAME]
    return tuple(name for name in names if getattr(was, name) != getattr(now, name))


def summary(found: tuple[CueRun, ...]) -> str:
    """``412 of 430 cues have been run; 12 never, 6 changed since``."""
    never = sum(one.state == "never run" for one in found)
    changed = sum(one.state == "changed since" for one in found)
    ran = len(found) - never
    return f"{ran} of {len(found)} cues have been run; {never} never, {changed} changed since"
