"""The one way to do work beside the window: results come to the window's thread, or to nobody once closed.

Loops that are no work of this kind (the tour's sync, the recording, the composed picture) are not here.
"""

import contextlib
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any

from showcaller.desk.qt import QObject, Qt, Signal
from showcaller.desk.worker import Worker


class Background(QObject):
    """A worker whose results come to the window's thread, and to nobody once it was closed."""

    _over = Signal(object)
    _news = Signal(object)
    told = Signal(object)
    """Whatever the work emits while it goes on; nothing is heard after ``close``."""

    def __init__(self, name: str, parent: QObject | None = None, nice: bool = False) -> None:
        super().__init__(parent)
        self._worker = Worker(name, nice)
        self._jobs: list[tuple[Future[Any], Callable[[Any], None], Callable[[Exception], None]]] = []
        self._closed = False
        # Queued also when it is done at once: never in the middle of whoever asked for it.
        self._over.connect(self._deliver, Qt.ConnectionType.QueuedConnection)
        self._news.connect(self._hear)

    def start(
        self, work: Callable[[], Any], done: Callable[[Any], None], failed: Callable[[Exception], None]
    ) -> None:
        """Do this once what was asked for before it is done; ``done``, ``failed``: in the window's thread."""
        future = self._worker.submit(work)
        self._jobs.append((future, done, failed))
        future.add_done_callback(self._finished)

    def newest(
        self, work: Callable[[], Any], done: Callable[[Any], None], failed: Callable[[Exception], None]
    ) -> None:
        """Do this instead of what has been asked for and not begun."""
        self._jobs = [job for job in self._jobs if not job[0].cancel()]
        self.start(work, done, failed)

    def tell(self, what: object) -> None:
        """From the work's thread: how far it is."""
        with contextlib.suppress(RuntimeError):  # the window is gone already, and this with it
            self._news.emit(what)

    @property
    def busy(self) -> bool:
        """Whether something is being done, or waits to be."""
        return bool(self._jobs)

    def settle(self) -> None:
        """Wait for all of it, and deliver it; for pictures and tests."""
        while self._jobs:
            with contextlib.suppress(Exception):  # it is told to whoever asked for it
                self._jobs[0][0].result()
            self._deliver(self._jobs[0][0])

    def close(self, wait: bool = True) -> None:
        """No more work; what has begun is let finish and nobody hears of it."""
        self._jobs.clear()
        self._closed = True
        self._worker.close(wait)

    def _hear(self, what: object) -> None:
        if not self._closed:
            self.told.emit(what)

    def _finished(self, future: "Future[Any]") -> None:
        with contextlib.suppress(RuntimeError):  # as above
            self._over.emit(future)

    def _deliver(self, future: "Future[Any]") -> None:
        job = next((j for j in self._jobs if j[0] is future), None)
        if job is None:
            return
        self._jobs.remove(job)
        if future.cancelled():
            return
        error = future.exception()
        if isinstance(error, Exception):
            job[2](error)
        elif error is not None:
            raise error
        else:
            job[1](future.result())
