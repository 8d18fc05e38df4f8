"""A whole tour from one place to another, either way, counted and compared before it counts as done."""

import hashlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, select, text

from showcaller.archive.errors import TourError
from showcaller.archive.opening import create_tables, make_engine, place_of, writing
from showcaller.archive.queries import insert_rows
from showcaller.archive.tables import (
    Base,
    DayMarkRow,
    EditionNameRow,
    EditionRow,
    EventRow,
    RecordingRow,
    RecordRow,
    RemarkRow,
    RunRow,
    TourRow,
)
from showcaller.archive.telling import told
from showcaller.archive.tour import Tour
from showcaller.values import Struct

TABLES: tuple[type[Base], ...] = (
    EditionRow, EditionNameRow, RunRow, RecordRow, EventRow, DayMarkRow, RecordingRow, RemarkRow,
)  # fmt: skip
"""All but the tour's own row, in an order in which every reference holds."""

BATCH = 5_000

Progress = Callable[[str, int, int], None]
"""Told of what is being done, and how many rows of how many are."""

Stopped = Callable[[], bool]
"""Asked now and then whether to stop."""


class Copied(Struct, frozen=True):
    """What was copied: rows by table, and the SHA-256 (hex) of all of them, equal at both ends."""

    rows: dict[str, int]
    digest: str

    @property
    def words(self) -> str:
        """``3 editions, 31 runs, 30,412 records and 40,118 events``."""
        shown = [
            f"{self.rows[name]:,} {name.removesuffix('s') if self.rows[name] == 1 else name}"
            for name in ("editions", "runs", "records", "events")
        ]
        return f"{', '.join(shown[:-1])} and {shown[-1]}"


class CopyStopped(TourError):  # noqa: N818 - it reads as what it is
    """The copy was stopped; nothing of it was left."""


def copy_tour(
    source: Tour,
    where: str | Path,
    progress: Progress = lambda _what, _done, _of: None,
    stopped: Stopped = lambda: False,
) -> Copied:
    """Copy a tour to an empty place; all of it, verified, or nothing.

    Args:
        source: the tour, which others may go on using: what they add meanwhile is not in the copy.
        where: a path where no file is, or the URL of an empty database.

    Raises:
        CopyStopped: ``stopped`` said so.
        TourError: a tour is there already, it cannot be read or written, or the two differ afterwards.
    """
    place = place_of(where)
    with source.reading() as connection:
        row = dict(connection.execute(select(TourRow.__table__)).mappings().one())
    engine = make_engine(place)
    try:
        create_tables(place, engine, row)
    except BaseException:
        engine.dispose()  # and what is there stays as it is
        raise
    try:
        with source.reading() as reading, told(place.name), writing(engine).begin() as target:
            _one_state(reading)
            counts = {table.__tablename__: _count(reading, table) for table in TABLES}
            of, done = 2 * sum(counts.values()), 0
            digest = hashlib.sha256()
            for table in TABLES:
                for rows in _rows(reading, table):
                    if stopped():
                        raise CopyStopped("the copy was stopped; nothing was left behind")
                    insert_rows(target, table, rows)
                    _digest(digest, table, rows)
                    done += len(rows)
                    progress(f"copying {table.__tablename__}", done, of)
            _count_on(target)
            again = hashlib.sha256()
            for table in TABLES:
                found = 0
                for rows in _rows(target, table):
                    if stopped():
                        raise CopyStopped("the copy was stopped; nothing was left behind")
                    _digest(again, table, rows)
                    found += len(rows)
                    done += len(rows)
                    progress(f"comparing {table.__tablename__}", done, of)
                if found != counts[table.__tablename__]:
                    raise TourError(
                        f"{place.name} took {found} of {counts[table.__tablename__]} {table.__tablename__}; "
                        "nothing was left there, copy again"
                    )
            if again.digest() != digest.digest():
                raise TourError(
                    f"{place.name} does not hold what was copied; nothing was left there, copy again"
                )
    except BaseException:
        _clear(place.path, engine)
        raise
    finally:
        engine.dispose()
    return Copied(counts, digest.hexdigest())


def tour_digest(tour: Tour) -> Copied:
    """Rows by table and the digest of a tour as it is now; equal for equal tours on any database."""
    digest = hashlib.sha256()
    counts = {}
    with tour.reading() as connection:
        _one_state(connection)
        for table in TABLES:
            counts[table.__tablename__] = 0
            for rows in _rows(connection, table):
                _digest(digest, table, rows)
                counts[table.__tablename__] += len(rows)
    return Copied(counts, digest.hexdigest())


def _one_state(connection: Connection) -> None:
    """Everything read from here on is of one moment. SQLite's transactions are so anyway."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"))


def _count(connection: Connection, table: type[Base]) -> int:
    return int(connection.execute(select(func.count()).select_from(table.__table__)).scalar_one())


def _rows(connection: Connection, table: type[Base]) -> Iterator[list[tuple[Any, ...]]]:
    query = select(table.__table__).order_by(*table.__table__.primary_key)
    if table is EditionNameRow:
        # Every database puts text in an order of its own.
        yield sorted(tuple(row) for row in connection.execute(select(table.__table__)))
        return
    with connection.execute(query, execution_options={"yield_per": BATCH}) as result:
        for partition in result.partitions():
            yield [tuple(row) for row in partition]


def _digest(digest: Any, table: type[Base], rows: list[tuple[Any, ...]]) -> None:
    digest.update(table.__tablename__.encode())
    for row in rows:
        digest.update(repr(row).encode())


def _count_on(connection: Connection) -> None:
    """PostgreSQL's own counters go on after the keys that were copied."""
    if connection.dialect.name != "postgresql":
        return
    for table in (EditionRow, RunRow, DayMarkRow, RecordingRow, RemarkRow):
        name = table.__tablename__
        connection.execute(
            text(
                f"SELECT setval(pg_get_serial_sequence('{name}', 'id'), "
                f"coalesce((SELECT max(id) FROM {name}), 0) + 1, false)"
            )
        )


def _clear(path: Path | None, engine: Any) -> None:
    """Leave nothing where nothing was."""
    if path is not None:
        engine.dispose()
        path.unlink(missing_ok=True)
        return
    with writing(engine).begin() as connection:
        Base.metadata.drop_all(connection)
        connection.execute(text("DROP TABLE IF EXISTS alembic_version"))
