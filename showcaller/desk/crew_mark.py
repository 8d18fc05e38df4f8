"""Whether a desk that is gone left its crew pages switched on, told by a file beside the runs. No Qt."""

import contextlib
import time
from pathlib import Path

from filelock import FileLock, Timeout

MARK, LOCK = "crew-pages-on", "crew-pages-on.lock"
LOOK_EVERY_S = 2.0


class CrewMark:
    """The lock is held while the pages are on and ends with the process, however it ends; the mark stays
    until somebody switches them off. A disk that takes neither is no reason to have no pages."""

    def __init__(self, runs: Path) -> None:
        self._runs = runs
        self._lock = FileLock(runs / LOCK)
        self._looked_s = -1e9
        self._left = False

    def set(self) -> None:
        """The pages are on, here."""
        with contextlib.suppress(OSError, Timeout):
            self._runs.mkdir(parents=True, exist_ok=True)
            self._lock.acquire(blocking=False)
            (self._runs / MARK).touch()
        self._left = False

    def clear(self) -> None:
        """They are off because somebody wants it so."""
        with contextlib.suppress(OSError):
            (self._runs / MARK).unlink(missing_ok=True)
        self.leave()

    def leave(self) -> None:
        """They are off with the desk: the next one may say so."""
        self._left, self._looked_s = False, -1e9
        with contextlib.suppress(OSError):
            self._lock.release(force=True)

    def left(self) -> bool:
        """Whether they were left on, and no other desk has them on; looked for every two seconds."""
        if time.monotonic() - self._looked_s > LOOK_EVERY_S:
            self._looked_s = time.monotonic()
            self._left = self._look()
        return self._left

    def _look(self) -> bool:
        try:
            if not (self._runs / MARK).exists():
                return False
            with FileLock(self._runs / LOCK).acquire(blocking=False):
                return True
        except (OSError, Timeout):
            return False
