"""Records to rows and back, without losing a byte."""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from showcaller.archive.errors import TourError
from showcaller.run import events as ev
from showcaller.run.codec import event_dict, event_from, input_dict, input_from, to_json
from showcaller.run.events import Event
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
    started: ev.RunStarted | None = None
    finished = False
    for record in records:
        for event in record.events:
            if isinstance(event, ev.RunStarted) and started is None:
                started = event
            finished = finished or isinstance(event, ev.RunEnded)
    if started is None:
        return Facts("", False, None, finished)
    return Facts(started.caller, started.muted, started.simulated, finished)


def record_rows(run: int, records: Iterable[Record]) -> Iterator[Row]:
    """Rows of ``records``, in the order of its columns."""
    for r in records:
        yield run, r.seq, r.t_ns, r.wall_ns, to_json(input_dict(r.input))


def event_rows(run: int, records: Iterable[Record]) -> Iterator[Row]:
    """Rows of ``events``, in the order of its columns."""
    for r in records:
        seq, t_ns, wall_ns = r.seq, r.t_ns, r.wall_ns
        for n, event in enumerate(r.events):
            body = event_dict(event)
            get = body.get
            yield (
                run, seq, n, t_ns, wall_ns, body["kind"], get("item"), get("cue"), get("planned_s"),
                get("actual_s"), to_json(body),
            )  # fmt: skip


def decoded(texts: Sequence[str]) -> list[Any]:
    """What many JSON texts hold, read in one go: a call for each takes longer than the reading.

    Raises:
        ValueError: one is not JSON.
    """
    found = json.loads(f"[{','.join(texts)}]")
    if len(found) != len(texts):
        raise ValueError("a text in the tour holds more than one value")
    return list(found)


def rebuilt(records: Sequence[Any], events: Sequence[Any]) -> list[Record]:
    """Records again, from rows (seq, t_ns, wall_ns, input) and (seq, body), in order of ``seq`` (and
    ``ordinal``)."""
    facts_of: dict[int, list[Event]] = {}
    for (seq, _), body in zip(events, decoded([body for _, body in events]), strict=True):
        facts_of.setdefault(seq, []).append(event_from(body))
    inputs = decoded([given for _, _, _, given in records])
    return [
        Record(seq, t_ns, wall_ns, input_from(given), tuple(facts_of.get(seq, ())))
        for (seq, t_ns, wall_ns, _), given in zip(records, inputs, strict=True)
    ]
