"""A safe copy of a tour that is in use, and bringing it back without throwing away what is there."""

import sqlite3
from datetime import datetime
from pathlib import Path

from showcaller.archive.copying import Copied, CopyStopped, Progress, Stopped, copy_tour, tour_digest
from showcaller.archive.errors import TourError
from showcaller.archive.opening import place_of
from showcaller.archive.tour import Tour

PAGES = 256
"""Pages copied between two looks at whether to stop."""


def back_up(
    tour: Tour,
    path: Path,
    progress: Progress = lambda _what, _done, _of: None,
    stopped: Stopped = lambda: False,
) -> Copied:
    """A tour, in use or not, as a SQLite file of its own; whole and checked, or no file at all.

    A SQLite tour is copied by SQLite's online backup, which starts over by itself when somebody writes
    meanwhile; one on PostgreSQL is copied row by row from one moment of it.

    Raises:
        CopyStopped: ``stopped`` said so.
        TourError: a file is there already, or it cannot be read or written.
    """
    if path.exists():
        raise TourError(f"{path} is there already; a backup never takes another's place, name a new file")
    if tour.place.path is None:
        return copy_tour(tour, path, progress, stopped)
    half = path.with_name(path.name + ".part")
    try:
        _online(tour.place.path, half, progress, stopped)
        with Tour.open(half) as made:
            copied = tour_digest(made)
        half.rename(path)
    except sqlite3.Error as error:
        raise TourError(f"{path} could not be written ({error}); make room, or name another folder") from None
    finally:
        half.unlink(missing_ok=True)
    return copied


def _online(source: Path, target: Path, progress: Progress, stopped: Stopped) -> None:
    def seen(_status: int, left: int, of: int) -> None:
        progress("backing up", of - left, of)
        if stopped():
            raise CopyStopped("the backup was stopped; nothing was left behind")

    target.unlink(missing_ok=True)
    reading = sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True)
    writing = sqlite3.connect(target)
    try:
        reading.backup(writing, pages=PAGES, progress=seen)
        (verdict,) = writing.execute("PRAGMA integrity_check").fetchone()
        if verdict != "ok":
            raise TourError(
                f"the backup of {source} is not whole ({verdict}); the tour itself may be damaged"
            )
    finally:
        writing.close()
        reading.close()


def restore(
    backup: Path,
    where: str,
    progress: Progress = lambda _what, _done, _of: None,
    stopped: Stopped = lambda: False,
) -> tuple[Copied, Path | None]:
    """Bring a backup back to a path, or to an empty database.

    A tour file that stands there is moved aside, never overwritten.

    Returns:
        (what was brought back, where what stood there has gone, if anything did).

    Raises:
        CopyStopped: ``stopped`` said so; what was there is there.
        TourError: not a tour, or it cannot be written there.
    """
    place = place_of(where)
    with Tour.open(backup) as kept:
        if place.path is None:
            return copy_tour(kept, where, progress, stopped), None
        if place.path.exists() and place.path.samefile(backup):
            raise TourError(f"{backup} is the backup itself; name where it is to go")
        half = place.path.with_name(place.path.name + ".restoring")
        half.unlink(missing_ok=True)
        try:
            copied = back_up(kept, half, progress, stopped)
            aside = _move_aside(place.path)
            half.rename(place.path)
        finally:
            half.unlink(missing_ok=True)
        return copied, aside


def _move_aside(path: Path) -> Path | None:
    if not path.exists():
        return None
    stamp = datetime.now().astimezone().strftime("%Y-%m-%d-%H%M%S")
    aside = path.with_name(f"{path.stem}.before-{stamp}{path.suffix}")
    path.rename(aside)
    return aside
