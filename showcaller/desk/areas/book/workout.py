"""An item worked out: its instants and strip at once, its calls beside the window where there are many."""

from collections.abc import Callable
from fractions import Fraction

from showcaller.desk.areas.book.stripview import StripView, strip_view
from showcaller.desk.aside import StandingAside
from showcaller.desk.background import Background
from showcaller.desk.qt import QObject, QTimer
from showcaller.model import Item, Show
from showcaller.timing.calls.compiling import item_sheet
from showcaller.timing.calls.sheet import CallSheet
from showcaller.timing.plan import PlannedItem, compile_item
from showcaller.values import Struct

AT_ONCE = 40
"""An item of up to so many cues is worked out while one waits: it takes less than a frame."""
LOOK_AT_ONCE = 300
"""The instants of so many cues are worked out while one waits, as after a nudge: the mark must follow the
hand. Calls take ten times as long, and follow."""

PAINTED_MS = 40
"""An edit is painted by then. Calls begun at once would hold up just that, as both want Python's lock."""


class Worked(Struct, frozen=True):
    """An item worked out."""

    item: Item
    planned: PlannedItem
    view: StripView
    sheet: CallSheet


def work_out(show: Show, index: int) -> Worked:
    """The item at ``index`` of the show."""
    return _worked(show, index, item_sheet(show, index, StandingAside()))


def first_look(show: Show, index: int, before: Worked | None) -> Worked:
    """The same with the calls it had ``before`` where its cues are the same in the same order, else none."""
    planned = compile_item(show.items[index], show.timecode_rate)
    had = [] if before is None else [c.cue.id for c in before.planned.cues]
    if before is not None and had == [c.cue.id for c in planned.cues]:
        return _worked(show, index, before.sheet)
    return _worked(show, index, CallSheet((), (), Fraction(0)))


def _worked(show: Show, index: int, sheet: CallSheet) -> Worked:
    item = show.items[index]
    planned = compile_item(item, show.timecode_rate)
    return Worked(item, planned, strip_view(show, planned, sheet), sheet)


class WorkingOut:
    """Works out one item at a time, the one wanted last; tells ``take`` in the window's thread."""

    def __init__(self, take: Callable[[Worked], None], parent: QObject) -> None:
        self._take = take
        self._work = Background("strip", parent)
        self._wanted: tuple[Show, int] | None = None
        self._soon = QTimer(parent)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._next)

    def want(self, show: Show, index: int) -> None:
        """Work out this one, once what is known of it already is painted."""
        self._wanted = (show, index)
        if not self._work.busy and not self._soon.isActive():
            self._soon.start(PAINTED_MS)

    def forget(self) -> None:
        """Another item was chosen meanwhile."""
        self._wanted = None

    def close(self) -> None:
        """No more work."""
        self._wanted = None
        self._soon.stop()
        self._work.close()

    def _next(self) -> None:
        if self._wanted is not None and not self._work.busy:
            wanted, self._wanted = self._wanted, None
            self._work.start(lambda: work_out(*wanted), self._come, lambda _: self._next())

    def _come(self, worked: Worked) -> None:
        if self._wanted is None:
            self._take(worked)
        self._next()
