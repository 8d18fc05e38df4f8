"""A show worked out beside the window: its calls and its digest, handed over by a queue. No Qt."""

import gc
import time
from collections.abc import Callable
from functools import partial
from importlib import import_module
from queue import Empty, SimpleQueue

from showcaller.desk.aside import StandingAside
from showcaller.desk.memory import settle
from showcaller.desk.worker import Worker
from showcaller.model import Show, show_text
from showcaller.model.document import item_text, text_digest
from showcaller.run.compiled import compile_show
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_item, compile_plan
from showcaller.values import Struct

QUIET_S = 0.5
"""Calls are worked out anew when nothing was edited for this long."""

_LIBRARIES = ("numpy", "scipy", "scipy.special")
"""The forecast needs them; loading them must not stop a frame."""


class Prepared(Struct, frozen=True):
    """A show worked out, and its document's digest; ``wrong`` says why it could not be, and is all then."""

    book: RunBook | None
    digest: str = ""
    wrong: str = ""


class Preparation:
    """Works out one show at a time, the one wanted last. Only ``poll`` hands over, to whoever calls it."""

    def __init__(self, clock_s: Callable[[], float] = time.monotonic) -> None:
        self._clock_s = clock_s
        self._worker = Worker("preparing")
        self._done: SimpleQueue[Prepared] = SimpleQueue()
        self._wanted: Show | None = None
        self._due_s = 0.0
        self._under_way: Show | None = None

    def want(self, show: Show, after_s: float = QUIET_S) -> None:
        """Work this one out, once nothing else was wanted for so long."""
        self._wanted, self._due_s = show, self._clock_s() + after_s

    @property
    def busy(self) -> bool:
        """Whether something is wanted or being worked out."""
        return self._wanted is not None or self._under_way is not None

    def poll(self) -> Prepared | None:
        """What was worked out since, if it is still what was wanted last; begins what is due."""
        found = None
        try:
            found = self._done.get_nowait()
            self._under_way = None
            settle()
            if self._wanted is not None:
                found = None  # edited since
        except Empty:
            pass
        if self._wanted is not None and self._under_way is None and self._clock_s() >= self._due_s:
            self._under_way, self._wanted = self._wanted, None
            # Next to nothing of what is made now is rubbish; looking for it would stop the window for it.
            gc.disable()
            self._worker.submit(partial(self._work, self._under_way))
        return found

    def _work(self, show: Show) -> None:
        """On the worker's thread."""
        aside = StandingAside()
        try:
            for name in _LIBRARIES:
                import_module(name)
                aside()
            for item in show.items:  # what is made of each is remembered, and only put together below
                compile_item(item, show.timecode_rate)
                aside()
                item_text(item)
                aside()
            plan = compile_plan(show)
            compiled = compile_show(plan)
            aside()
            book = RunBook(compiled, compile_show_calls(plan, aside))
            prepared = Prepared(book, text_digest(show_text(show)))
        except Exception as error:  # said on the desk, whatever it was
            prepared = Prepared(
                None,
                wrong=f"the calls could not be worked out: {error}. The last good ones stand; "
                "undo the last change",
            )
        self._done.put(prepared)

    def close(self) -> None:
        """No more work."""
        gc.enable()
        self._worker.close(wait=False)
