"""A tour in a file that is known to be there, and opened when somebody asks it for something.

The database library takes longer to load than a window takes to open, so the desk looks at the file with
Python's own ``sqlite3`` and loads it once the show is there to be seen.
"""

import sqlite3
from contextlib import closing
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, TypeAlias

from showcaller.archive.version import FORMAT_VERSION, HEAD

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour


def at_hand(path: Path) -> bool:
    """Whether a file is a tour of this version. Of any other, or none, ``Tour.open`` says what it is."""
    if not path.is_file():
        return False
    try:
        with closing(
            sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=0)
        ) as connection:
            name = connection.execute("SELECT version_num FROM alembic_version").fetchone()
            version = connection.execute("SELECT format_version FROM tour WHERE id = 1").fetchone()
    except (sqlite3.Error, OSError):
        return False
    return bool(name == (HEAD,) and version == (FORMAT_VERSION,))


class LaterTour:
    """Opened by the first :meth:`opened`. What is wrong with the file by then, whoever reads it is told."""

    desk = ""

    def __init__(self, path: Path) -> None:
        """``path`` is a tour that is :func:`at_hand`."""
        self.reached_by = self.where = str(path)
        self._tour: Tour | None = None
        self._opening = Lock()

    def opened(self) -> "Tour":
        """The tour."""
        with self._opening:  # whoever comes first, the window or the thread that loads what it needs later
            if self._tour is None:
                from showcaller.archive.tour import Tour  # noqa: PLC0415 - that is what this is for

                self._tour = Tour.at(self.reached_by)
            return self._tour

    def close(self) -> None:
        """Let go of the file."""
        if self._tour is not None:
            self._tour.close()


AnyTour: TypeAlias = "Tour | LaterTour"
"""A tour that is open, or will be: ``opened()`` is the tour, ``reached_by`` what opens it again."""
