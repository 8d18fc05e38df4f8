"""Records to rows and back, without losing a byte."""

import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any, NamedTuple

from showcaller.archive.errors import TourError
from showcaller.run.runlog import Record

Row = tuple[Any, ...]


class Facts(NamedTuple):
    """What a run's own records say about it."""

    caller: str
    muted: bool
    simulated: int | None
    finished: bool


def checked(records: Iterable[Record]) -> list[Record]:
    """The records, known to be a whole run from its beginning.

    Raises:
        TourError: none at all, or one missing or out of order.
    """
    whole = list(records)
    if not whole:
        raise TourError("this run has no records yet; nothing was added")
    for expected, record in enumerate(whole, 1):
        if record.seq != expected:
            raise TourError(
                f"record {expected} of the run is missing (found {record.seq}); nothing was added, "
                "recover the journal first"
            )
    return whole


def facts(records: Sequence[Record]) -> Facts:
    """Caller, muting, seed and whether it ended, from ``run_started`` and ``run_ended``."""
    started: Mapping[str, Any] = {}
    finished = False
    for record in records:
        for event in record.events:
            if event["kind"] == "run_started" and not started:
                started = event
            finished = finished or event["kind"] == "run_ended"
    return Facts(
        str(started.get("caller") or ""), bool(started.get("muted")), started.get("simulated"), finished
    )


to_json = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
"""Compact JSON, the same text the journal has. One encoder for all: ``json.dumps`` makes one each time."""


def record_rows(run: int, records: Iterable[Record]) -> list[Row]:
    """Rows of ``records``, in the order of its columns."""
    return [(run, r.seq, r.t_ns, r.wall_ns, to_json(r.input)) for r in records]


def event_rows(run: int, records: Iterable[Record]) -> list[Row]:
    """Rows of ``events``, in the order of its columns."""
    return [
        (
            run, r.seq, n, r.t_ns, r.wall_ns, e["kind"], e.get("item"), e.get("cue"), e.get("planned_s"),
            e.get("actual_s"), to_json(e),
        )
        for r in records
        for n, e in enumerate(r.events)
    ]  # fmt: skip


def rebuilt(records: Iterable[Any], events: Iterable[Any]) -> list[Record]:
    """Records again, from rows of both tables in order of ``seq`` (and ``ordinal``)."""
    bodies = {
        seq: tuple(json.loads(row.body) for row in rows) for seq, rows in groupby(events, lambda e: e.seq)
    }
    return [Record(r.seq, r.t_ns, r.wall_ns, json.loads(r.input), bodies.get(r.seq, ())) for r in records]
