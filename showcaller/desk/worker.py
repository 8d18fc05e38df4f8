"""A thread beside the window, begun when it is first needed and ended with what began it. No Qt."""

import contextlib
import os
import sys
import threading
import weakref
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TypeVar

T = TypeVar("T")
_open: "weakref.WeakSet[Worker]" = weakref.WeakSet()


def give_way() -> None:
    """Let the calling thread, and those it starts, run only when the window and the engine need no time.

    On Linux a thread can be given a niceness of its own; elsewhere nothing is changed.
    """
    if sys.platform == "linux":
        with contextlib.suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), 10)


def open_workers() -> list[str]:
    """Names of the workers whose threads have begun and were not ended; for tests."""
    return sorted(worker.name for worker in _open)


class Worker:
    """One thing at a time, in order, on a thread of its own. ``nice``: it gives way to window and engine."""

    def __init__(self, name: str, nice: bool = False) -> None:
        self.name = name
        self._nice = nice
        self._pool: ThreadPoolExecutor | None = None
        self._closed = False

    def submit(self, work: Callable[[], T]) -> "Future[T]":
        """Do this once what was asked for before it is done; cancelled at once if the worker was closed."""
        if self._closed:
            future: Future[T] = Future()
            future.cancel()
            return future
        if self._pool is None:
            self._pool = ThreadPoolExecutor(1, self.name, initializer=give_way if self._nice else None)
            _open.add(self)
        return self._pool.submit(work)

    def close(self, wait: bool = True) -> None:
        """No more work. What has begun is let finish, and waited for unless told otherwise."""
        self._closed = True
        if self._pool is not None:
            self._pool.shutdown(wait=wait, cancel_futures=True)
        _open.discard(self)
