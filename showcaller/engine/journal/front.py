"""The newest stretch of a journal in the machine's memory, where writing never waits for a disk.

A file of the same lines in a folder that lies in memory (see ``private``). It outlives a killed process,
not a restarted machine. What it holds is written to the disk by a helper within a tenth of a second; once
all of it is there, the front begins again, keeping its last lines as a witness of where the log had come to.
"""

import os
from collections import deque
from pathlib import Path

from showcaller.engine.journal.lines import Line, Scanned, scan

TIDY_BYTES = 1 << 20
"""A front longer than this begins again once the disk has caught up."""
WITNESS_BYTES = 1 << 16
"""So many bytes of its last lines it keeps then."""
MOST_BYTES = 64 << 20
"""It never grows beyond this: when the disk takes nothing for so long, the newest lines are in the process
only."""


def read_front(path: Path) -> Scanned | None:
    """The lines of a front; None when it is not there."""
    try:
        return scan(path.read_bytes(), skip=0)
    except OSError:
        return None


class Front:
    """An open front. All methods belong to one thread."""

    def __init__(self, path: Path, lines: tuple[Line, ...] = ()) -> None:
        """Begin it anew with these ``lines``.

        Raises:
            OSError: it cannot be kept there.
        """
        self.path = path
        self._recent: deque[bytes] = deque()
        self._recent_bytes = 0
        for line in lines:
            self._remember(line.to_bytes())
        self._fd = -1
        self._size = 0
        self._begin()

    def _begin(self) -> None:
        fresh = self.path.with_suffix(".new")
        fd = os.open(fresh, os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND | os.O_CLOEXEC, 0o600)
        try:
            content = b"".join(self._recent)
            if os.write(fd, content) != len(content):
                raise OSError(28, "no space left for the log's newest part")
            fresh.replace(self.path)
        except OSError:
            os.close(fd)
            raise
        if self._fd >= 0:
            os.close(self._fd)
        self._fd, self._size = fd, len(content)

    def _remember(self, text: bytes) -> None:
        self._recent.append(text)
        self._recent_bytes += len(text)
        while self._recent_bytes > WITNESS_BYTES and len(self._recent) > 1:
            self._recent_bytes -= len(self._recent.popleft())

    def append(self, text: bytes) -> bool:
        """Add a line; False if it could not be taken whole."""
        if self._size + len(text) > MOST_BYTES:
            return False
        try:
            written = os.write(self._fd, text)
        except OSError:
            return False
        self._size += written
        if written != len(text):  # full: the piece is no line, and the next must not grow onto it
            os.ftruncate(self._fd, self._size - written)
            self._size -= written
            return False
        self._remember(text)
        return True

    @property
    def long(self) -> bool:
        """Whether it is time to begin again."""
        return self._size > TIDY_BYTES

    def tidy(self) -> None:
        """Begin again with the last lines; call only once the disk has everything, and not on the go path."""
        try:
            self._begin()
        except OSError:
            self._size = 0  # asked again after as much has come once more

    def close(self, forget: bool) -> None:
        """Let go; with ``forget`` the file goes too, because the disk has everything."""
        os.close(self._fd)
        if forget:
            self.path.unlink(missing_ok=True)
