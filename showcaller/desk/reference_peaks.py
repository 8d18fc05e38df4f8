"""The reference's loudness, read in the background once for each file."""

import threading
from collections.abc import Callable
from pathlib import Path

from platformdirs import user_config_path

from showcaller.desk.background import Background
from showcaller.desk.qt import QObject
from showcaller.outside.media import allowed_file, allowed_folders

Peaks = tuple[tuple[float, float], ...]


def _peaks(folder: Path, name: str, stop: Callable[[], bool]) -> Peaks:
    """Read by a process of its own; this thread only waits for it."""
    from showcaller.editing.media import peaks_of  # noqa: PLC0415 - loaded when it is wanted

    return peaks_of(allowed_file(name, folder, allowed_folders(user_config_path("showcaller"))), stop)


class ReferencePeaks:
    """``now`` are the peaks of the file that is wanted, once they have been read."""

    def __init__(self, update: Callable[[], None], parent: QObject) -> None:
        self.now: Peaks = ()
        self._known: dict[Path, Peaks] = {}
        self._work = Background("peaks", parent)
        self._wanted: Path | None = None
        self._over = threading.Event()
        self._update = update

    def want(self, folder: Path | None, name: str | None) -> None:
        """Show this file's peaks from now on."""
        self._wanted = None if folder is None or name is None else folder / name
        if self._wanted is not None and self._wanted not in self._known:
            self._known[self._wanted] = ()
            path, stop = self._wanted, self._over.is_set
            assert folder is not None
            assert name is not None
            self._work.start(
                lambda: _peaks(folder, name, stop),
                lambda peaks: self._read(path, peaks),
                lambda _: self._read(path, ()),  # a reference that cannot be read has no loudness to show
            )
        self._look()

    def close(self) -> None:
        """End what is being read."""
        self._over.set()
        self._work.close()

    def _read(self, path: Path, peaks: Peaks) -> None:
        self._known[path] = peaks
        self._look()

    def _look(self) -> None:
        if self._over.is_set():
            return  # what is drawn on may be gone already
        self.now = self._known.get(self._wanted, ()) if self._wanted is not None else ()
        self._update()
