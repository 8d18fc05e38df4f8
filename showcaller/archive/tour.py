"""The tour itself: open it, add an edition or a run, take them out again."""

import hashlib
import json
import time
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Engine, insert, select, update

from showcaller.archive.errors import TourError, told
from showcaller.archive.opening import (
    WAIT_S,
    Place,
    create_tables,
    look_at_file,
    look_at_tables,
    make_engine,
    migrate,
    place_of,
    writing,
)
from showcaller.archive.queries import (
    EDITIONS,
    RUNS,
    edition_of,
    event_of,
    must_be_same,
    next_number,
    one_at_a_time,
    run_of,
    write_records,
)
from showcaller.archive.rows import checked, facts, rebuilt
from showcaller.archive.tables import FORMAT_VERSION, HEAD, EditionRow, EventRow, RecordRow, RunRow, TourRow
from showcaller.archive.values import Edition, Event, Run
from showcaller.model import DocumentError, Show, parse_show, show_text
from showcaller.model.runlog import Record


def digest_of(show: Show) -> str:
    """SHA-256 of the show document's text, in hex: equal documents are one edition."""
    return hashlib.sha256(show_text(show).encode()).hexdigest()


class Tour:
    """A tour that is open. Everything asked of it is one transaction: done, or as if never asked."""

    def __init__(self, place: Place, engine: Engine, name: str) -> None:
        """Use :meth:`open` or :meth:`create`."""
        self.name = name
        self.where = place.name
        self._engine = engine

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
        made = time.time_ns() if wall_ns is None else wall_ns
        row = {"id": 1, "name": name, "format_version": FORMAT_VERSION, "created_wall_ns": made}
        create_tables(place, engine, row)
        return cls(place, engine, name)

    @classmethod
    def open(cls, where: str | Path, *, wait_s: float = WAIT_S) -> Self:
        """The tour there, brought to the present version if it is older.

        A file that may only be read can be opened and read. Raises as :meth:`create`.

        Raises:
            TourError: missing, not a tour, from a newer version (and then untouched), locked, unreachable.
        """
        place = place_of(where)
        if place.path is not None:
            look_at_file(place.path)
        engine = make_engine(place, wait_s)
        with told(place.name):
            with engine.connect() as connection:
                revision = look_at_tables(connection, place.name)
            if revision != HEAD:
                with writing(engine).begin() as connection:
                    migrate(connection)
            with engine.connect() as connection:
                name = connection.execute(select(TourRow.name)).scalar_one()
        return cls(place, engine, name)

    def close(self) -> None:
        """Let go of the file or the connections."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # Editions

    def editions(self) -> list[Edition]:
        """All editions, oldest first."""
        with told(self.where), self._engine.connect() as connection:
            return [edition_of(row) for row in connection.execute(EDITIONS.order_by(EditionRow.number))]

    def add_edition(self, show: Show, *, wall_ns: int | None = None) -> Edition:
        """The edition of this document: a new one, or the one it equals already.

        Raises:
            TourError: it cannot be written.
        """
        document = show_text(show)
        digest = hashlib.sha256(document.encode()).hexdigest()
        same = EDITIONS.where(EditionRow.digest == digest)
        with told(self.where):
            with self._engine.connect() as connection:
                found = connection.execute(same).one_or_none()
            if found is not None:
                return edition_of(found)
            with writing(self._engine).begin() as connection:
                one_at_a_time(connection)
                found = connection.execute(same).one_or_none()
                if found is None:
                    values = {
                        "number": next_number(connection, EditionRow), "digest": digest, "name": show.name,
                        "created_wall_ns": time.time_ns() if wall_ns is None else wall_ns,
                        "document": document,
                    }  # fmt: skip
                    connection.execute(insert(EditionRow).values(**values))
                    found = connection.execute(same).one()
                return edition_of(found)

    def show_of(self, edition: Edition | int) -> Show:
        """The show of an edition (or of the edition with this number).

        Raises:
            TourError: no such edition here, or its document cannot be read.
        """
        number = edition if isinstance(edition, int) else edition.number
        with told(self.where), self._engine.connect() as connection:
            document = connection.execute(
                select(EditionRow.document).where(EditionRow.number == number)
            ).scalar_one_or_none()
        if document is None:
            raise TourError(f"there is no edition {number} in {self.where}")
        try:
            return parse_show(document, f"edition {number}")
        except DocumentError as error:
            raise TourError(str(error)) from None

    # Runs

    def runs(self, edition: Edition | None = None) -> list[Run]:
        """All runs, or those of one edition, in the order they were added."""
        query = RUNS.order_by(RunRow.number)
        if edition is not None:
            query = query.where(EditionRow.number == edition.number)
        with told(self.where), self._engine.connect() as connection:
            return [run_of(row) for row in connection.execute(query)]

    def add_run(
        self,
        edition: Edition,
        records: Iterable[Record],
        *,
        run_id: str,
        caller: str | None = None,
        muted: bool | None = None,
        simulated: int | None = None,
    ) -> Run:
        """Add a run from its journal's records.

        The same ``run_id`` is never added twice; when it is there already but the journal has gone on since,
        the rest is added. What is not given is taken from the records.

        Raises:
            TourError: a record is missing, the journal is not the one added before, no such edition, or it
                cannot be written. Nothing was added then.
        """
        whole = checked(records)
        told_by_run = facts(whole)
        values = {
            "ended_wall_ns": whole[-1].wall_ns, "finished": told_by_run.finished, "records": len(whole),
        }  # fmt: skip
        fixed = {
            "run_id": run_id, "started_wall_ns": whole[0].wall_ns,
            "caller": told_by_run.caller if caller is None else caller,
            "muted": told_by_run.muted if muted is None else muted,
            "simulated": told_by_run.simulated if simulated is None else simulated,
        }  # fmt: skip
        with told(self.where), writing(self._engine).begin() as connection:
            one_at_a_time(connection)
            found = connection.execute(
                select(RunRow.id, RunRow.records).where(RunRow.run_id == run_id)
            ).one_or_none()
            if found is None:
                fixed |= {
                    "number": next_number(connection, RunRow),
                    "edition_id": self._edition_id(connection, edition),
                }
                connection.execute(insert(RunRow).values(**fixed, **values))
                key = connection.execute(select(RunRow.id).where(RunRow.run_id == run_id)).scalar_one()
                write_records(connection, key, whole)
            elif len(whole) > found.records:
                must_be_same(connection, found.id, whole[found.records - 1], run_id)
                connection.execute(update(RunRow).where(RunRow.id == found.id).values(**values))
                write_records(connection, found.id, whole[found.records :])
            return run_of(connection.execute(RUNS.where(RunRow.run_id == run_id)).one())

    def _edition_id(self, connection: Connection, edition: Edition) -> int:
        key = connection.execute(
            select(EditionRow.id).where(EditionRow.digest == edition.digest)
        ).scalar_one_or_none()
        if key is None:
            raise TourError(f"edition {edition.number} is not in {self.where}; add the edition first")
        return key

    def records(self, run: Run) -> list[Record]:
        """The run's records exactly as they were added."""
        with told(self.where), self._engine.connect() as connection:
            key = self._run_key(connection, run)
            records = select(RecordRow.__table__).where(RecordRow.run_id == key).order_by(RecordRow.seq)
            events = (
                select(EventRow.seq, EventRow.body)
                .where(EventRow.run_id == key)
                .order_by(EventRow.seq, EventRow.ordinal)
            )
            return rebuilt(connection.execute(records), connection.execute(events))

    def events(self, run: Run, *kinds: str) -> list[Event]:
        """The run's events in order; only those of ``kinds`` if any are given."""
        with told(self.where), self._engine.connect() as connection:
            key = self._run_key(connection, run)
            query = (
                select(EventRow.__table__)
                .where(EventRow.run_id == key)
                .order_by(EventRow.seq, EventRow.ordinal)
            )
            if kinds:
                query = query.where(EventRow.kind.in_(kinds))
            return [event_of(row) for row in connection.execute(query)]

    def item_lengths(self, item: str) -> list[tuple[Run, float]]:
        """Each run's length of an item, in seconds, holds left out, in the order the runs were added."""
        query = (
            RUNS.add_columns(EventRow.body)
            .join(EventRow, EventRow.run_id == RunRow.id)
            .where(EventRow.kind == "item_ended", EventRow.item == item)
            .order_by(RunRow.number, EventRow.seq, EventRow.ordinal)
        )
        with told(self.where), self._engine.connect() as connection:
            return [(run_of(row), json.loads(row.body)["length_s"]) for row in connection.execute(query)]

    def _run_key(self, connection: Connection, run: Run) -> int:
        key = connection.execute(select(RunRow.id).where(RunRow.run_id == run.run_id)).scalar_one_or_none()
        if key is None:
            raise TourError(f"run {run.number} is not in {self.where}")
        return key
