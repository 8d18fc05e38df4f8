"""What is asked of the tables more than once, and the writing of a run."""

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, func, insert, select
from sqlalchemy.exc import DBAPIError

from showcaller.archive.errors import TourError
from showcaller.archive.rows import Row, decoded, event_rows, record_rows
from showcaller.archive.tables import Base, EditionRow, EventRow, RecordRow, RunRow, TourRow
from showcaller.archive.values import Edition, Run, StoredEvent
from showcaller.run.runlog import Record

EDITIONS = select(EditionRow.number, EditionRow.digest, EditionRow.name, EditionRow.created_wall_ns)

RUNS = select(
    RunRow.number,
    RunRow.run_id,
    EditionRow.number.label("edition"),
    RunRow.caller,
    RunRow.muted,
    RunRow.simulated,
    RunRow.started_wall_ns,
    RunRow.ended_wall_ns,
    RunRow.finished,
    RunRow.records,
).join(EditionRow, EditionRow.id == RunRow.edition_id)


def edition_of(row: Any) -> Edition:
    """The value of a row of :data:`EDITIONS`."""
    return Edition(row.number, row.digest, row.name, row.created_wall_ns)


def run_of(row: Any) -> Run:
    """The value of a row of :data:`RUNS`."""
    return Run(*row)


def events_of(rows: Sequence[Any]) -> list[StoredEvent]:
    """The values of rows of the events table."""
    bodies = decoded([row[-1] for row in rows])
    return [_event(row, body) for row, body in zip(rows, bodies, strict=True)]


def _event(row: Any, body: Any) -> StoredEvent:
    _, seq, ordinal, t_ns, wall_ns, kind, item, cue, planned_s, actual_s, _ = row
    return StoredEvent(seq, ordinal, t_ns, wall_ns, kind, item, cue, planned_s, actual_s, body)


def one_at_a_time(connection: Connection) -> None:
    """Until this transaction ends nobody else adds anything, so that numbers stay without gaps.

    SQLite has one writer anyway and leaves the locking clause out.
    """
    connection.execute(select(TourRow.id).where(TourRow.id == 1).with_for_update())


def next_number(connection: Connection, table: type[EditionRow] | type[RunRow]) -> int:
    """The next free number, from 1."""
    return int(connection.execute(select(func.coalesce(func.max(table.number), 0))).scalar_one()) + 1


def write_records(connection: Connection, run_key: int, records: Sequence[Record]) -> None:
    """Insert records and their events; rows are made as they are taken, so that none has to be kept."""
    insert_rows(connection, RecordRow, record_rows(run_key, records))
    insert_rows(connection, EventRow, event_rows(run_key, records))


def insert_rows(connection: Connection, table: type[Base], rows: Iterable[Row]) -> None:
    """Many rows, each in the order of the table's columns, by the driver's own fastest way.

    SQLAlchemy writes the statement for SQLite's ``executemany``; its handling of every single parameter,
    which numbers and text do not need, took as long as the inserting. PostgreSQL takes them by ``COPY``.
    """
    if connection.dialect.name == "postgresql":
        _copy_in(connection, table, rows)
        return
    statement = str(insert(table).compile(dialect=connection.dialect))
    driver: Any = connection.connection.driver_connection
    try:
        driver.executemany(statement, rows)
    except driver_error(connection) as error:
        raise DBAPIError(statement, None, error) from error


def _copy_in(connection: Connection, table: type[Base], rows: Iterable[Row]) -> None:
    driver: Any = connection.connection.driver_connection
    names = ", ".join(column.name for column in table.__table__.columns)
    statement = f"COPY {table.__tablename__} ({names}) FROM STDIN"
    try:
        with driver.cursor() as cursor, cursor.copy(statement) as copy:
            for row in rows:
                copy.write_row(row)
    except driver_error(connection) as error:
        raise DBAPIError(statement, None, error) from error


def driver_error(connection: Connection) -> type[Exception]:
    """The class of what the database's driver raises."""
    module: Any = connection.dialect.dbapi
    found: type[Exception] = module.Error
    return found


def must_be_same(connection: Connection, run_key: int, record: Record, run_id: str) -> None:
    """Refuse a journal that is not the one whose beginning is stored.

    Raises:
        TourError: the last stored record is not ``record``.
    """
    stored = connection.execute(
        select(RecordRow.t_ns, RecordRow.wall_ns).where(
            RecordRow.run_id == run_key, RecordRow.seq == record.seq
        )
    ).one_or_none()
    if stored is None or tuple(stored) != (record.t_ns, record.wall_ns):
        raise TourError(
            f"run {run_id} is in the tour already with other records; nothing was added, "
            "the journal must have been mixed up"
        )
