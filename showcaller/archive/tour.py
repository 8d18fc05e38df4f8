"""The tour itself: opened or made; its parts are in the modules beside this one."""

from pathlib import Path
from typing import Self

from showcaller.archive.afterwards import Afterwards
from showcaller.archive.daymarks import DayMarks
from showcaller.archive.editions import Editions, digest_of
from showcaller.archive.errors import TourAway
from showcaller.archive.opened import now_or
from showcaller.archive.opening import WAIT_S, Place, create_tables, look_at_file, make_engine, place_of
from showcaller.archive.runs import Runs
from showcaller.archive.version import FORMAT_VERSION

__all__ = ["Tour", "digest_of"]


class Tour(Editions, Runs, DayMarks, Afterwards):
    """A tour that is open: editions, runs, marks of the day, recordings and remarks."""

    @classmethod
    def create(
        cls, where: str | Path, name: str, *, wall_ns: int | None = None, wait_s: float = WAIT_S
    ) -> Self:
        """An empty tour at a path, or in an empty database at a SQLAlchemy URL.

        Args:
            where: a path, or a URL such as ``postgresql+psycopg://name@host/tour``.
            name: what people call the tour.
            wall_ns: Unix time of its making, ns; now if not given.
            wait_s: how long to wait for another program that is writing, seconds.

        Raises:
            TourError: something is there already, or nothing can be written there.
        """
        place = place_of(where)
        engine = make_engine(place, wait_s)
        row = {"id": 1, "name": name, "format_version": FORMAT_VERSION, "created_wall_ns": now_or(wall_ns)}
        try:
            create_tables(place, engine, row)
        except BaseException:
            engine.dispose()
            raise
        return cls(place, engine, name)

    @classmethod
    def at(cls, where: str | Path | Place, *, wait_s: float = WAIT_S) -> Self:
        """The tour there, not looked at yet: the first thing asked of it does that, and may be refused.

        Raises:
            TourError: not an address that can be understood.
        """
        place = where if isinstance(where, Place) else place_of(where)
        return cls(place, make_engine(place, wait_s), None)

    @classmethod
    def open(cls, where: str | Path, *, wait_s: float = WAIT_S, absent: bool = False) -> Self:
        """The tour there, brought to the present version if it is older.

        A file that may only be read can be opened and read. With ``absent`` a database that does not answer
        just now is opened all the same: whatever is asked of it raises :class:`TourAway` until it does.

        Raises:
            TourError: missing, not a tour, from a newer version (and then untouched), locked, unreachable.
        """
        place = place_of(where)
        if place.path is not None:
            look_at_file(place.path)
        tour = cls.at(place, wait_s=wait_s)
        try:
            tour.look()
        except TourAway:
            if not absent:
                tour.close()
                raise
        except BaseException:
            tour.close()
            raise
        return tour
