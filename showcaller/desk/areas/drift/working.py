"""Work that takes longer than a frame, off the window's thread; its result comes back as a queued signal."""

import contextlib
import os
import sys
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

from showcaller.desk.qt import QObject, Signal


def give_way() -> None:
    """Let the calling thread, and those it starts, run only when the window and the engine need no time.

    On Linux a thread can be given a niceness of its own; elsewhere nothing is changed.
    """
    if sys.platform == "linux":
        with contextlib.suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), 10)


class Working(QObject):
    """One thing at a time, in order. ``done`` and ``failed`` are called on the window's thread."""

    _over = Signal(object)
    told = Signal(str, int, int)
    """What is being done, and which step of how many."""

    def __init__(self, name: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._worker = ThreadPoolExecutor(1, name, initializer=give_way)
        self._jobs: list[tuple[Future[Any], Callable[[Any], None], Callable[[Exception], None]]] = []
        self._over.connect(self._deliver)

    def start(
        self, work: Callable[[], Any], done: Callable[[Any], None], failed: Callable[[Exception], None]
    ) -> None:
        """Do this once what was asked for before it is done."""
        future = self._worker.submit(work)
        self._jobs.append((future, done, failed))
        future.add_done_callback(self._over.emit)

    def newest(
        self, work: Callable[[], Any], done: Callable[[Any], None], failed: Callable[[Exception], None]
    ) -> None:
        """Do this instead of what has been asked for and not begun."""
        self._jobs = [job for job in self._jobs if not job[0].cancel()]
        self.start(work, done, failed)

    @property
    def busy(self) -> bool:
        """Whether something is being done, or waits to be."""
        return bool(self._jobs)

    def settle(self) -> None:
        """Wait for all of it, and deliver it; for pictures and tests."""
        while self._jobs:
            self._deliver(self._jobs[0][0], wait=True)

    def _deliver(self, future: "Future[Any]", wait: bool = False) -> None:
        job = next((j for j in self._jobs if j[0] is future), None)
        if job is None:
            return
        if wait:
            error = future.exception() if not future.cancelled() else None
        elif future.cancelled():
            error = None
        else:
            error = future.exception()
        self._jobs.remove(job)
        if future.cancelled():
            return
        if isinstance(error, Exception):
            job[2](error)
        elif error is not None:
            raise error
        else:
            job[1](future.result())

    def close(self) -> None:
        """No more work; what has begun is let finish and nobody hears of it."""
        self._jobs.clear()
        self._worker.shutdown(wait=True, cancel_futures=True)
