"""A very full item worked out beside the window: its instants, its calls and its strip."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

from showcaller.desk.areas.book.stripview import StripView, strip_view
from showcaller.desk.qt import QObject, Signal
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


class WorkingOut(QObject):
    """Works out one item at a time, the one wanted last; tells ``take`` in the window's thread."""

    _done = Signal(object)

    def __init__(self, take: Callable[[Worked], None]) -> None:
        super().__init__()
        self._take = take
        self._worker: ThreadPoolExecutor | None = None
        self._wanted: tuple[Show, int] | None = None
        self._busy = False
        self._done.connect(self._come)

    def want(self, show: Show, index: int) -> None:
        """Work out this one."""
        self._wanted = (show, index)
        if not self._busy:
            self._next()

    def forget(self) -> None:
        """Another item was chosen meanwhile."""
        self._wanted = None

    def _next(self) -> None:
        if self._wanted is None:
            return
        self._busy, wanted, self._wanted = True, self._wanted, None
        self._worker = self._worker or ThreadPoolExecutor(1, "strip")
        self._worker.submit(work_out, *wanted).add_done_callback(self._done.emit)

    def _come(self, done: "Future[Worked]") -> None:
        self._busy = False
        if self._wanted is None and done.exception() is None:
            self._take(done.result())
        self._next()
