"""A file from outside being read beside the window: one at a time, its progress said, ended by Escape."""

import contextlib
import threading
from collections.abc import Callable
from typing import Any

from showcaller.desk.qt import QObject, Signal
from showcaller.outside import Stopped
from showcaller.outside.limits import Tell

Work = Callable[[Tell, Callable[[], bool]], Any]
"""Given whom to tell how far it is, and whether to stop."""


class Reading(QObject):
    """``start`` does work on a thread of its own; what came of it is told on the window's."""

    _step = Signal(object)
    _over = Signal(object)

    def __init__(self, parent: QObject, say: Callable[[str], None]) -> None:
        super().__init__(parent)
        self._say = say
        self._stop: threading.Event | None = None
        self._step.connect(self._tell)
        self._over.connect(self._deliver)

    @property
    def busy(self) -> bool:
        """Whether something is being read."""
        return self._stop is not None

    def start(self, work: Work, done: Callable[[Any], None], failed: Callable[[Exception], None]) -> None:
        """Read this, instead of what was being read."""
        self.stop()
        stop = self._stop = threading.Event()

        def run() -> None:
            try:
                found, error = work(lambda *step: self._step.emit((stop, step)), stop.is_set), None
            except Exception as caught:  # said by whoever asked
                found, error = None, caught
            with contextlib.suppress(RuntimeError):  # the window is gone already, and this with it
                self._over.emit((stop, found, error, done, failed))

        threading.Thread(target=run, name="outside", daemon=True).start()

    def stop(self) -> bool:
        """End it; False if nothing was being read."""
        if self._stop is None:
            return False
        self._stop.set()
        self._stop = None
        return True

    def _tell(self, told: tuple[threading.Event, tuple[str, int, int]]) -> None:
        stop, (what, done, of) = told
        if stop is self._stop:
            share = f", {100 * done // of} %" if of else ""
            self._say(f"{what}{share} · Escape stops it")

    def _deliver(self, told: tuple[threading.Event, Any, Exception | None, Any, Any]) -> None:
        stop, found, error, done, failed = told
        if stop is not self._stop:
            return  # stopped, or another took its place
        self._stop = None
        if isinstance(error, Stopped):
            return
        if error is not None:
            failed(error)
        else:
            done(found)
