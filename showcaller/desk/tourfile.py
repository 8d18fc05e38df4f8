"""Where a show's tour and its runs are; the tour there, opened, made, or opened once wanted. No Qt."""

from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.archive.later import AnyTour, LaterTour, at_hand
from showcaller.desk.journals import waiting_journals
from showcaller.values import Struct

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour


class Paths(Struct, frozen=True):
    """Where a show's tour and its run folders are; ``address`` if the tour is on a server, not in a file."""

    tour: Path
    runs: Path
    address: str | None = None

    @property
    def where(self) -> str | Path:
        """What the tour is opened by."""
        return self.address or self.tour


def paths_for(show_path: Path, tour: str | Path | None = None) -> Paths:
    """Beside the show unless a tour is named: ``NAME.tour`` and the folder ``NAME.runs``.

    A tour on a server is named by its address; its runs are journals on this machine first, beside the show.
    """
    if isinstance(tour, str) and "://" in tour:
        return Paths(show_path.with_suffix(".tour"), show_path.with_suffix(".runs"), tour)
    path = Path(tour) if tour else show_path.with_suffix(".tour")
    return Paths(path, path.with_suffix(".runs"))


def open_tour(where: str | Path, name: str) -> "Tour":
    """The tour there, made if it is not there yet. One on a server that does not answer opens all the same:
    the show goes on without it, and it is used once it answers.

    Raises:
        TourError: it cannot be opened or made.
    """
    from showcaller.archive.opening import is_empty  # noqa: PLC0415 - loads the database library
    from showcaller.archive.tour import Tour  # noqa: PLC0415

    if isinstance(where, Path):
        return Tour.open(where) if where.exists() else Tour.create(where, name)
    if is_empty(where):
        return Tour.create(where, name)
    return Tour.open(where, absent=True)


def tour_for_desk(paths: Paths, name: str) -> AnyTour:
    """The same, opened only once it is wanted where nothing can be wrong with it and nothing waits to go in.

    Raises:
        TourError: as :func:`open_tour`.
    """
    if paths.address is None and at_hand(paths.tour) and not waiting_journals(paths.runs, str(paths.tour)):
        return LaterTour(paths.tour)
    return open_tour(paths.where, name)
