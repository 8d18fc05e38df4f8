"""Runs: the logs of nights and rehearsals, taken in once and given back byte for byte."""

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, distinct, func, insert, select, text, update

from showcaller.archive.errors import TourError
from showcaller.archive.opened import OpenTour
from showcaller.archive.queries import (
    RUNS,
    events_of,
    must_be_same,
    next_number,
    one_at_a_time,
    run_of,
    write_records,
)
from showcaller.archive.rows import checked, decoded, event_of, facts, rebuilt
from showcaller.archive.tables import TELLING, TELLING_SQL, EditionRow, EventRow, RecordRow, RunRow
from showcaller.archive.values import CueTimes, Edition, Run, StoredEvent
from showcaller.run.commands import Tick
from showcaller.run.events import Fired, ItemEnded
from showcaller.run.runlog import Record


class Runs(OpenTour):
    """The tour's runs."""

    def runs(self, edition: Edition | None = None) -> list[Run]:
        """All runs, or those of one edition, in the order they were added."""
        query = RUNS.order_by(RunRow.number)
        if edition is not None:
            query = query.where(EditionRow.number == edition.number)
        with self.reading() as connection:
            return [run_of(row) for row in connection.execute(query).all()]

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
            records = (
                select(RecordRow.seq, RecordRow.t_ns, RecordRow.wall_ns, RecordRow.input, RecordRow.by)
                .where(RecordRow.run_id == key)
                .order_by(RecordRow.seq)
            )
            events = (
                select(EventRow.seq, EventRow.body)
                .where(EventRow.run_id == key)
                .order_by(EventRow.seq, EventRow.ordinal)
            )
            return rebuilt(connection.execute(records).all(), connection.execute(events).all())

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
            return events_of(connection.execute(query).all())

    def telling(self, *kinds: str) -> list[tuple[Run, list[StoredEvent]]]:
        """Every run with its events of ``kinds``, which are among ``TELLING``; all of those if none is given.

        One question for the whole tour, answered from an index.

        Raises:
            ValueError: a kind that has no index.
        """
        query = _telling(select(EventRow.__table__), kinds)
        with self.reading() as connection:
            runs, numbers = self._numbered(connection)
            rows = connection.execute(query).all()
        found: dict[int, list[StoredEvent]] = {}
        for row, event in zip(rows, events_of(rows), strict=True):
            found.setdefault(numbers[row[0]], []).append(event)
        return [(run, found.get(run.number, [])) for run in runs]

    def telling_records(self, *kinds: str) -> list[tuple[Run, list[Record]]]:
        """The same as records, one for each event: as much of every run's log as these kinds tell.

        Raises:
            ValueError: a kind that has no index.
        """
        columns = select(EventRow.run_id, EventRow.seq, EventRow.t_ns, EventRow.wall_ns, EventRow.body)
        with self.reading() as connection:
            runs, numbers = self._numbered(connection)
            rows = connection.execute(_telling(columns, kinds)).all()
        found: dict[int, list[Record]] = {run.number: [] for run in runs}
        tick = Tick()
        for row, body in zip(rows, decoded([r[-1] for r in rows]), strict=True):
            key, seq, t_ns, wall_ns, _ = row
            found[numbers[key]].append(Record(seq, t_ns, wall_ns, tick, (event_of(body),)))
        return [(run, found[run.number]) for run in runs]

    def _numbered(self, connection: Connection) -> tuple[list[Run], dict[int, int]]:
        """All runs, and their numbers by key."""
        runs = [run_of(row) for row in connection.execute(RUNS.order_by(RunRow.number)).all()]
        keys = connection.execute(select(RunRow.id, RunRow.number)).all()
        return runs, {row[0]: row[1] for row in keys}

    def firings(self, runs: Sequence[Run]) -> list[tuple[Run, list[Fired]]]:
        """Runs with the cues that fired in each, in order; one question for all of them."""
        query = (
            select(RunRow.run_id, EventRow.body)
            .join(RunRow, RunRow.id == EventRow.run_id)
            .where(RunRow.run_id.in_([run.run_id for run in runs]), EventRow.kind == Fired.kind)
            .order_by(EventRow.run_id, EventRow.seq, EventRow.ordinal)
        )
        with self.reading() as connection:
            rows = connection.execute(query).all()
        found: dict[str, list[Fired]] = {run.run_id: [] for run in runs}
        for (run_id, _), body in zip(rows, decoded([body for _, body in rows]), strict=True):
            event = event_of(body)
            if isinstance(event, Fired):
                found[run_id].append(event)
        return [(run, found[run.run_id]) for run in runs]

    def cues_fired(self) -> dict[str, CueTimes]:
        """Every cue that was ever fired by a person's run, by its id; simulated runs are left out."""
        run = RunRow.number
        query = (
            select(EventRow.cue, func.count(distinct(EventRow.run_id)), func.max(run))
            .join(RunRow, RunRow.id == EventRow.run_id)
            .where(EventRow.kind == Fired.kind, EventRow.cue.is_not(None), RunRow.simulated.is_(None))
            .group_by(EventRow.cue)
        )
        editions = select(run, EditionRow.number).join(EditionRow, EditionRow.id == RunRow.edition_id)
        with self.reading() as connection:
            of = dict(connection.execute(editions).all())
            rows = connection.execute(query).all()
        return {str(cue): CueTimes(times, last, of[last]) for cue, times, last in rows}

    def item_lengths(self, item: str) -> list[tuple[Run, float]]:
        """Each run's length of an item, in seconds, holds left out, in the order the runs were added."""
        query = (
            RUNS.add_columns(EventRow.body)
            .join(EventRow, EventRow.run_id == RunRow.id)
            .where(text("events.kind = 'item_ended'"), EventRow.item == item)
            .order_by(RunRow.number, EventRow.seq, EventRow.ordinal)
        )
        with self.reading() as connection:
            rows = connection.execute(query).all()
        bodies = decoded([row[-1] for row in rows])
        ends = zip(rows, map(event_of, bodies), strict=True)
        return [(run_of(row[:-1]), end.length_s) for row, end in ends if isinstance(end, ItemEnded)]


def _telling(query: Any, kinds: tuple[str, ...]) -> Any:
    """A question for events of the whole tour, without a join, so that the index alone answers it in its own
    order.

    Raises:
        ValueError: a kind that has no index.
    """
    strange = set(kinds) - set(TELLING)
    if strange:
        raise ValueError(f"'{min(strange)}' is not asked of a whole tour; there are {', '.join(TELLING)}")
    query = query.where(text(TELLING_SQL)).order_by(EventRow.run_id, EventRow.seq, EventRow.ordinal)
    return query.where(EventRow.kind.in_(kinds)) if kinds else query
