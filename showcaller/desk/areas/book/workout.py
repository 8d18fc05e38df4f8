"""A very full item worked out beside the window: its instants, its calls and its strip."""

from collections.abc import Callable
from dataclasses import dataclass

from showcaller.desk.areas.book.stripview import StripView, strip_view
from showcaller.desk.background import Background
from showcaller.desk.qt import QObject
from showcaller.model import Item, Show
from showcaller.timing.calls.compiling import item_sheet
from showcaller.timing.plan import PlannedItem, compile_item

AT_ONCE = 300
"""An item of up to so many cues is worked out while one waits: it takes less than a blink."""


@dataclass(frozen=True, slots=True)
class Worked:
    """An item worked out."""

    item: Item
    planned: PlannedItem
    view: StripView


def work_out(show: Show, index: int) -> Worked:
    """The item at ``index`` of the show."""
    item = show.items[index]
    planned = compile_item(item, show.timecode_rate)
    return Worked(item, planned, strip_view(show, planned, item_sheet(show, index)))


class WorkingOut:
    """Works out one item at a time, the one wanted last; tells ``take`` in the window's thread."""

    def __init__(self, take: Callable[[Worked], None], parent: QObject) -> None:
        self._take = take
        self._work = Background("strip", parent)
        self._wanted: tuple[Show, int] | None = None

    def want(self, show: Show, index: int) -> None:
        """Work out this one."""
        self._wanted = (show, index)
        if not self._work.busy:
            self._next()

    def forget(self) -> None:
        """Another item was chosen meanwhile."""
        self._wanted = None

    def close(self) -> None:
        """No more work."""
        self._wanted = None
        self._work.close()

    def _next(self) -> None:
        if self._wanted is not None:
            wanted, self._wanted = self._wanted, None
            self._work.start(lambda: work_out(*wanted), self._come, lambda _: self._next())

    def _come(self, worked: Worked) -> None:
        if self._wanted is None:
            self._take(worked)
        self._next()
