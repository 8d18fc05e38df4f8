"""How much a file from outside may cost, and the sentences that say so."""

from collections.abc import Callable

from showcaller.values import Struct

MB = 1_000_000

Tell = Callable[[str, int, int], None]
"""Told what is being done, and which step of how many."""


class Refused(ValueError):  # noqa: N818 - it reads as what it is
    """A file that is not taken in; one sentence that says why, and the limit if there was one."""


class Stopped(Refused):
    """Somebody did not want to wait any longer."""


class Limits(Struct, frozen=True):
    """What reading one file may take: wall-clock seconds, bytes of memory and of file, cells of a table.

    ``memory_bytes`` is the address space (``RLIMIT_AS``) where the system has it; elsewhere only time, the
    file's size and the cells are limited.
    """

    time_s: float = 20.0
    memory_bytes: int = 480 * MB
    file_bytes: int = 64 * MB
    cells: int = 500_000


class Within:
    """What a reader is given: its limits, and whom to tell how far it is.

    Called without arguments it holds to the usual limits and tells nobody.
    """

    def __init__(self, limits: Limits | None = None, tell: Tell = lambda _what, _done, _of: None) -> None:
        self.limits = limits or Limits()
        self.tell = tell
        self._cells = 0

    def cells(self, more: int, name: str) -> None:
        """Count cells that were read.

        Raises:
            Refused: more than the limit.
        """
        self._cells += more
        if self._cells > self.limits.cells:
            raise Refused(
                f"{name} holds more than {self.limits.cells:,} cells, which is the limit; "
                "take out the sheets and columns that are not needed"
            )


def size_words(size_bytes: int) -> str:
    """``64 MB``, ``1.2 MB``, ``300 kB``."""
    if size_bytes >= MB:
        return f"{size_bytes / MB:.1f}".removesuffix(".0") + " MB"
    return f"{max(1, round(size_bytes / 1000))} kB"
