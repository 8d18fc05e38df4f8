"""The reference's loudness, read in the background once for each file."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from showcaller.desk.qt import QObject, Signal

Peaks = tuple[tuple[float, float], ...]


def _peaks(path: Path) -> Peaks:
    from showcaller.editing.media import peaks_of  # noqa: PLC0415 - loaded when it is wanted

    return peaks_of(path)


class ReferencePeaks(QObject):
    """``now`` are the peaks of the file that is wanted, once they have been read."""

    _ready = Signal()

    def __init__(self, update: Callable[[], None]) -> None:
        super().__init__()
        self.now: Peaks = ()
        self._known: dict[Path, Peaks] = {}
        self._worker: ThreadPoolExecutor | None = None
        self._wanted: Path | None = None
        self._ready.connect(self._look)
        self._update = update

    def want(self, folder: Path | None, name: str | None) -> None:
        """Show this file's peaks from now on."""
        self._wanted = None if folder is None or name is None else folder / name
        if self._wanted is not None and self._wanted not in self._known:
            self._known[self._wanted] = ()
            self._worker = self._worker or ThreadPoolExecutor(1, "peaks")
            path = self._wanted
            self._worker.submit(_peaks, path).add_done_callback(lambda done: self._read(path, done))
        self._look()

    def _read(self, path: Path, done: "Future[Peaks]") -> None:
        error = done.exception()
        self._known[path] = () if error is not None else done.result()
        self._ready.emit()  # to the window's thread

    def _look(self) -> None:
        self.now = self._known.get(self._wanted, ()) if self._wanted is not None else ()
        self._update()
