"""The show as it was at the end of a run: as it was opened, with the changes made in it. Pure."""

from collections.abc import Iterable, Iterator

from showcaller.editing.changes import Change, apply, change_from
from showcaller.model import Show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record


def changes_in(records: Iterable[Record]) -> Iterator[tuple[Record, c.ChangeTonight, Change]]:
    """The changes that were made, in order, each with its record."""
    for record in records:
        made = isinstance(record.input, c.ChangeTonight) and any(
            isinstance(e, ev.ShowChanged) for e in record.events
        )
        if made and isinstance(record.input, c.ChangeTonight):
            yield record, record.input, change_from(record.input.change)


def last_edition(opened: Show, records: Iterable[Record]) -> Show:
    """What a run that was opened with ``opened`` ended with.

    Raises:
        ChangeError: the log is of another show.
    """
    show = opened
    for _, _, change in changes_in(records):
        show, _ = apply(show, change)
    return show
