"""A tour that is open: its connections, and what every part of it asks of them."""

import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import TracebackType
from typing import Self
from uuid import uuid4

from sqlalchemy import Connection, Engine, select, text

from showcaller.archive.errors import TourError
from showcaller.archive.opening import Place, look_at_tables, migrate, only_one_builds, writing
from showcaller.archive.tables import RunRow, TourRow
from showcaller.archive.telling import told
from showcaller.archive.values import PlaceThen, Run
from showcaller.archive.version import HEAD
from showcaller.model import Show

CHANNEL = "showcaller_tour"
"""PostgreSQL's channel on which desks tell each other of what they added."""


class OpenTour:
    """What all parts of a tour share. Everything asked of it is one transaction: done, or as if never asked.

    A tour whose server does not answer yet may be opened all the same: it is looked at, and brought to the
    present version, the first time it answers.
    """

    def __init__(self, place: Place, engine: Engine, name: str | None) -> None:
        """Use ``Tour.open`` or ``Tour.create``; ``name`` is None for a tour that was not reached yet."""
        self._name = name
        self.where = place.name
        self.place = place
        self.desk = uuid4().hex[:12]
        """Names this opening of the tour to others that have it open."""
        self._engine = engine
        self._shows: dict[int, Show] = {}
        self._places: dict[int, PlaceThen] = {}

    @property
    def name(self) -> str:
        """What people call the tour; empty while it was never reached."""
        return self._name or ""

    @property
    def reached_by(self) -> str:
        """What opens it again: its path, or its address with the password."""
        path = self.place.path
        return str(path) if path is not None else self.place.url.render_as_string(hide_password=False)

    def opened(self) -> Self:
        """Itself; a :class:`LaterTour` is opened by this."""
        return self

    def look(self) -> None:
        """See that it is a tour of a version that can be used, and bring it up to date.

        Raises:
            TourAway: its server does not answer.
            TourError: not a tour, or from a newer version (and then untouched).
        """
        with told(self.where):
            with self._engine.connect() as connection:
                revision = look_at_tables(connection, self.where)
            if revision != HEAD:
                with writing(self._engine).begin() as connection:
                    only_one_builds(connection)
                    # Another desk may have been quicker while this one waited for its turn.
                    if look_at_tables(connection, self.where) != HEAD:
                        migrate(connection)
            with self._engine.connect() as connection:
                self._name = connection.execute(select(TourRow.name)).scalar_one()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that only reads."""
        if self._name is None:
            self.look()
        with told(self.where), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that writes: all of it, or nothing."""
        if self._name is None:
            self.look()
        with told(self.where), writing(self._engine).begin() as connection:
            yield connection

    def tell(self, connection: Connection, what: str, number: int | str) -> None:
        """Tell the other desks, once this transaction is kept. On SQLite they look by themselves."""
        if connection.dialect.name == "postgresql":
            body = json.dumps({"what": what, "number": number, "desk": self.desk})
            connection.execute(text("SELECT pg_notify(:channel, :body)"), {"channel": CHANNEL, "body": body})

    def run_key(self, connection: Connection, run: Run) -> int:
        """The key of a run in the tables.

        Raises:
            TourError: it is not here.
        """
        key = connection.execute(select(RunRow.id).where(RunRow.run_id == run.run_id)).scalar_one_or_none()
        if key is None:
            raise TourError(f"run {run.number} is not in {self.where}")
        return key

    def close(self) -> None:
        """Let go of the file or the connections."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def now_or(wall_ns: int | None) -> int:
    """The time given, else the present one: Unix time in ns."""
    return time.time_ns() if wall_ns is None else wall_ns
