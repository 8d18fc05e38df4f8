"""Runs: the logs of nights and rehearsals, taken in once and given back byte for byte."""

import json
from collections.abc import Iterable
from itertools import groupby

from sqlalchemy import Connection, insert, select, text, update

from showcaller.archive.errors import TourError
from showcaller.archive.opened import OpenTour
from showcaller.archive.queries import (
    RUNS,
    event_of,
    must_be_same,
    next_number,
    one_at_a_time,
    run_of,
    write_records,
)
from showcaller.archive.rows import checked, facts, rebuilt
from showcaller.archive.tables import TELLING, TELLING_SQL, EditionRow, EventRow, RecordRow, RunRow
from showcaller.archive.values import Edition, Run, StoredEvent
from showcaller.run.runlog import Record


class Runs(OpenTour):
    """The tour's runs."""

    def runs(self, edition: Edition | None = None) -> list[Run]:
        """All runs, or those of one edition, in the order they were added."""
        query = RUNS.order_by(RunRow.number)
        if edition is not None:
            query = query.where(EditionRow.number == edition.number)
        with self.reading() as connection:
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
        with self.writing() as connection:
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
            else:
                must_be_same(connection, found.id, whole[-1], run_id)
            run = run_of(connection.execute(RUNS.where(RunRow.run_id == run_id)).one())
            if found is None or len(whole) > found.records:
                self.tell(connection, "run", run.number)
            return run

    def _edition_id(self, connection: Connection, edition: Edition) -> int:
        key = connection.execute(
            select(EditionRow.id).where(EditionRow.digest == edition.digest)
        ).scalar_one_or_none()
        if key is None:
            raise TourError(f"edition {edition.number} is not in {self.where}; add the edition first")
        return key

    def records(self, run: Run) -> list[Record]:
        """The run's records exactly as they were added."""
        with self.reading() as connection:
            key = self.run_key(connection, run)
            records = select(RecordRow.__table__).where(RecordRow.run_id == key).order_by(RecordRow.seq)
            events = (
                select(EventRow.seq, EventRow.body)
                .where(EventRow.run_id == key)
                .order_by(EventRow.seq, EventRow.ordinal)
            )
            return rebuilt(connection.execute(records), connection.execute(events))

    def events(self, run: Run, *kinds: str) -> list[StoredEvent]:
        """The run's events in order; only those of ``kinds`` if any are given."""
        with self.reading() as connection:
            key = self.run_key(connection, run)
            query = (
                select(EventRow.__table__)
                .where(EventRow.run_id == key)
                .order_by(EventRow.seq, EventRow.ordinal)
            )
            if kinds:
                query = query.where(EventRow.kind.in_(kinds))
            return [event_of(row) for row in connection.execute(query)]

    def telling(self, *kinds: str) -> list[tuple[Run, list[StoredEvent]]]:
        """Every run with its events of ``kinds``, which are among ``TELLING``; all of those if none is given.

        One question for the whole tour, answered from an index.

        Raises:
            ValueError: a kind that has no index.
        """
        strange = set(kinds) - set(TELLING)
        if strange:
            raise ValueError(f"'{min(strange)}' is not asked of a whole tour; there are {', '.join(TELLING)}")
        # Without a join, so that the index alone answers it in its own order.
        query = (
            select(EventRow.__table__)
            .where(text(TELLING_SQL))
            .order_by(EventRow.run_id, EventRow.seq, EventRow.ordinal)
        )
        if kinds:
            query = query.where(EventRow.kind.in_(kinds))
        with self.reading() as connection:
            runs = [run_of(row) for row in connection.execute(RUNS.order_by(RunRow.number))]
            numbers = {row.id: row.number for row in connection.execute(select(RunRow.id, RunRow.number))}
            rows = groupby(connection.execute(query), lambda row: row.run_id)
            found = {numbers[key]: [event_of(row) for row in mine] for key, mine in rows}
        return [(run, found.get(run.number, [])) for run in runs]

    def item_lengths(self, item: str) -> list[tuple[Run, float]]:
        """Each run's length of an item, in seconds, holds left out, in the order the runs were added."""
        query = (
            RUNS.add_columns(EventRow.body)
            .join(EventRow, EventRow.run_id == RunRow.id)
            .where(text("events.kind = 'item_ended'"), EventRow.item == item)
            .order_by(RunRow.number, EventRow.seq, EventRow.ordinal)
        )
        with self.reading() as connection:
            return [(run_of(row), json.loads(row.body)["length_s"]) for row in connection.execute(query)]
