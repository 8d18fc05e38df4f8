"""The reference's loudness, read in the background once for each file."""

import contextlib
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from platformdirs import user_config_path

from showcaller.desk.qt import QObject, Signal
from showcaller.outside.media import allowed_file, allowed_folders

Peaks = tuple[tuple[float, float], ...]


def _peaks(folder: Path, name: str, stop: Callable[[], bool]) -> Peaks:
    """Read by a process of its own; this thread only waits for it."""
    from showcaller.editing.media import peaks_of  # noqa: PLC0415 - loaded when it is wanted

    return peaks_of(allowed_file(name, folder, allowed_folders(user_config_path("showcaller"))), stop)


class ReferencePeaks(QObject):
    """``now`` are the peaks of the file that is wanted, once they have been read."""

    _ready = Signal()

    def __init__(self, update: Callable[[], None], parent: QObject) -> None:
        super().__init__(parent)
        self.now: Peaks = ()
        self._known: dict[Path, Peaks] = {}
        self._worker: ThreadPoolExecutor | None = None
        self._wanted: Path | None = None
        self._over = threading.Event()
        self._ready.connect(self._look)
        self._update = update

    def want(self, folder: Path | None, name: str | None) -> None:
        """Show this file's peaks from now on."""
        self._wanted = None if folder is None or name is None else folder / name
        if self._wanted is not None and self._wanted not in self._known:
            self._known[self._wanted] = ()
            self._worker = self._worker or ThreadPoolExecutor(1, "peaks")
            path = self._wanted
            assert folder is not None
            assert name is not None
            self._worker.submit(_peaks, folder, name, self._over.is_set).add_done_callback(
                lambda done: self._read(path, done)
            )
        self._look()

    def close(self) -> None:
        """End what is being read."""
        self._over.set()
        if self._worker is not None:
            self._worker.shutdown(wait=True, cancel_futures=True)

    def _read(self, path: Path, done: "Future[Peaks]") -> None:
        error = done.exception()
        self._known[path] = () if error is not None else done.result()
        with contextlib.suppress(RuntimeError):  # the window is gone already, and this with it
            self._ready.emit()  # to the window's thread

    def _look(self) -> None:
        if self._over.is_set():
            return  # what is drawn on may be gone already
        self.now = self._known.get(self._wanted, ()) if self._wanted is not None else ()
        self._update()
