"""The show as it was at the end of a run: as it was opened, with the changes made in it. Pure."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from showcaller.editing.changes import Change, apply, change_from
from showcaller.model import Show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record


@dataclass(frozen=True, slots=True)
class TonightChange:
    """A change that was made in a run: what, in words and as a value, by whom, and when (Unix ns)."""

    words: str
    change: Change
    by: str
    wall_ns: int


def changes_in(records: Iterable[Record]) -> Iterator[TonightChange]:
    """The changes that were made, in order."""
    for record in records:
        given = record.input
        if isinstance(given, c.ChangeTonight) and any(isinstance(e, ev.ShowChanged) for e in record.events):
            yield TonightChange(given.words, change_from(given.change), given.by, record.wall_ns)


def last_edition(opened: Show, records: Iterable[Record]) -> Show:
    """What a run that was opened with ``opened`` ended with.

    Raises:
        ChangeError: the log is of another show.
    """
    show = opened
    for made in changes_in(records):
        show, _ = apply(show, made.change)
    return show
