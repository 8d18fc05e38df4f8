"""A position's own cues, found once for an edition of the show: all else is looked up in this. Pure."""

from showcaller.crew.positions import Position
from showcaller.run.compiled import CompiledShow
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.sheet import CallSheet
from showcaller.values import Struct


class OwnCue(Struct, frozen=True):
    """A cue by its place ``k`` in the item, the go that fires it (None: automatic), and the standbys it is
    called in: (line's id, when it is called, s into the item)."""

    k: int
    go: int | None
    standbys: tuple[tuple[str, float], ...]


Outline = tuple[tuple[OwnCue, ...], ...]
"""Item by item."""


def outline_of(book: RunBook, position: Position) -> Outline:
    """The position's cues in the edition that a book has now."""
    compiled = book.compiled
    return tuple(_of_item(compiled, i, sheet, position) for i, sheet in enumerate(book.sheets))


def _of_item(compiled: CompiledShow, i: int, sheet: CallSheet, position: Position) -> tuple[OwnCue, ...]:
    planned = compiled.items[i].planned
    own = [k for k, cue in enumerate(planned.cues) if position.concerns(cue.cue)]
    if not own:
        return ()
    gos = {k: g for g, go in enumerate(planned.goes) for k in go.cues}
    standbys: dict[int, list[tuple[str, float]]] = {}
    for line in sheet.lines:
        for k in line.cues if line.what == "standby" else ():
            standbys.setdefault(k, []).append((line.id, float(line.starts_s)))
    return tuple(OwnCue(k, gos.get(k), tuple(standbys.get(k, ()))) for k in own)
