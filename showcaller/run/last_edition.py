"""The show as it was at the end of a run: as it was opened, with the changes made in it. Pure."""

import contextlib
from collections.abc import Iterable, Iterator

from showcaller.editing.changes import Change, ChangeError, apply, change_from
from showcaller.model import Show
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.values import Struct


class TonightChange(Struct, frozen=True):
    """A change that was made in a run: what, in words and as a value, by whom, and when (Unix ns)."""

    words: str
    change: Change
    by: str
    wall_ns: int


def changes_in(records: Iterable[Record]) -> Iterator[TonightChange]:
    """The changes that were made, in order; those that stood behind a gap of the log are told by its
    recovery."""
    for record in records:
        for event in record.events:
            if isinstance(event, ev.ShowChanged) and event.change is not None:
                yield TonightChange(event.words, change_from(event.change), event.by, record.wall_ns)


def last_edition(opened: Show, records: Iterable[Record]) -> Show:
    """What a run that was opened with ``opened`` ended with. A change that hangs on one which a gap of the
    log has swallowed is left out, as it was then."""
    show = opened
    for made in changes_in(records):
        with contextlib.suppress(ChangeError):
            show, _ = apply(show, made.change)
    return show
