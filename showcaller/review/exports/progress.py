"""How far an export is, and whether to stop."""

from collections.abc import Callable

from showcaller.review.errors import ExportStopped

Progress = Callable[[str, int, int], None]
"""Told what is being written, and which step of how many it is."""

Stopped = Callable[[], bool]


class Steps:
    """Counts an export's steps; each is a chance to stop."""

    def __init__(self, of: int, progress: Progress, stopped: Stopped) -> None:
        self._of = of
        self._done = 0
        self._progress = progress
        self._stopped = stopped

    def next(self, what: str) -> None:
        """Begin the next step.

        Raises:
            ExportStopped: it was asked to stop.
        """
        if self._stopped():
            raise ExportStopped("stopped; nothing was left behind")
        self._done = min(self._of, self._done + 1)
        self._progress(what, self._done, self._of)
