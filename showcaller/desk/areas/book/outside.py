"""A file from outside being read beside the window: one at a time, its progress said, ended by Escape."""

import threading
from collections.abc import Callable
from typing import Any

from showcaller.desk.background import Background
from showcaller.desk.qt import QObject
from showcaller.outside import Stopped
from showcaller.outside.limits import Tell

Work = Callable[[Tell, Callable[[], bool]], Any]
"""Given whom to tell how far it is, and whether to stop."""


class Reading:
    """``start`` does work on a thread of its own; what came of it is told on the window's."""

    def __init__(self, parent: QObject, say: Callable[[str], None]) -> None:
        self._say = say
        self._stop: threading.Event | None = None
        self._work = Background("outside", parent)
        self._work.told.connect(self._tell)

    @property
    def busy(self) -> bool:
        """Whether something is being read."""
        return self._stop is not None

    def start(self, work: Work, done: Callable[[Any], object], failed: Callable[[Exception], object]) -> None:
        """Read this, instead of what was being read."""
        self.stop()
        stop = self._stop = threading.Event()

        def over(then: Callable[[Any], object], what: Any) -> None:
            if stop is self._stop:  # neither stopped nor followed by another
                self._stop = None
                if not isinstance(what, Stopped):
                    then(what)

        self._work.start(
            lambda: work(lambda *step: self._work.tell((stop, step)), stop.is_set),
            lambda found: over(done, found),
            lambda error: over(failed, error),
        )

    def stop(self) -> bool:
        """End it; False if nothing was being read."""
        if self._stop is None:
            return False
        self._stop.set()
        self._stop = None
        return True

    def close(self) -> None:
        """End it, and read nothing more."""
        self.stop()
        self._work.close()

    def _tell(self, told: tuple[threading.Event, tuple[str, int, int]]) -> None:
        stop, (what, done, of) = told
        if stop is self._stop:
            share = f", {100 * done // of} %" if of else ""
            self._say(f"{what}{share} · Escape stops it")
