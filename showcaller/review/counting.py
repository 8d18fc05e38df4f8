"""What counts once: gos that stood, and gos marked as wrong. One rule for every figure and list. Pure."""

from collections.abc import Iterable

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record


def taken_back_gos(records: Iterable[Record]) -> frozenset[int]:
    """The ``seq`` of every record whose go was taken back by hand. A go that comes again after a jump back,
    or because its section is repeated, stood."""
    given: list[int] = []
    undone: set[int] = set()
    for record in records:
        refused = any(isinstance(e, ev.CommandRefused) for e in record.events)
        if isinstance(record.input, c.Go) and not refused:
            given.append(record.seq)
        elif isinstance(record.input, c.Jump | c.Locate) and not refused:
            given.clear()  # what was before it cannot be taken back any more
        elif isinstance(record.input, c.Back) and not refused and given:
            undone.add(given.pop())
    return frozenset(undone)


def wrong_marks(records: Iterable[Record]) -> frozenset[int]:
    """The ``seq`` of every record whose mark counts: a go marked again is one wrong go, until it is given
    again."""
    marked: set[str] = set()
    found: set[int] = set()
    for record in records:
        for event in record.events:
            if isinstance(event, ev.MarkedWrong) and event.go not in marked:
                marked.add(event.go)
                found.add(record.seq)
            elif isinstance(event, ev.Fired) and event.go is not None:
                marked.discard(event.go)
    return frozenset(found)
