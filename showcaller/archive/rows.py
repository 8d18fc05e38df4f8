"""Records to rows and back, without losing a byte."""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from showcaller.archive.errors import TourError
from showcaller.run import events as ev
from showcaller.run.codec import event_dict, event_from, input_dict, input_from, to_json
from showcaller.run.commands import Input
from showcaller.run.events import Event
from showcaller.run.runlog import Record

Row = tuple[Any, ...]
_UNREADABLE = (ValueError, KeyError, TypeError, AttributeError)


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
        yield run, r.seq, r.t_ns, r.wall_ns, to_json(input_dict(r.input)), r.by


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
        TourError: one is not JSON.
    """
    try:
        found = json.loads(f"[{','.join(texts)}]")
    except (ValueError, TypeError, RecursionError) as error:
        raise _damaged(f"it is no JSON: {error}") from None
    if len(found) != len(texts):
        raise _damaged("it holds more than one value")
    return list(found)


def event_of(body: Any) -> Event:
    """The event in a text that was decoded.

    Raises:
        TourError: it is none.
    """
    try:
        return event_from(body)
    except _UNREADABLE:
        raise _damaged("it is no event") from None


def input_of(body: Any) -> Input:
    """The input in a text that was decoded.

    Raises:
        TourError: it is none.
    """
    try:
        return input_from(body)
    except _UNREADABLE:
        raise _damaged("it is no input") from None


def _damaged(why: str) -> TourError:
    return TourError(f"a text in the log of a run in this tour is damaged ({why}); open a copy made earlier")


def rebuilt(records: Sequence[Any], events: Sequence[Any]) -> list[Record]:
    """Records again, from rows (seq, t_ns, wall_ns, input, by) and (seq, body), in order of ``seq`` (and
    ``ordinal``).

    Raises:
        TourError: something in them is damaged.
    """
    if not all(type(n) is int for row in records for n in row[:3]):
        raise _damaged("a number of a record is none")
    facts_of: dict[int, list[Event]] = {}
    for (seq, _), body in zip(events, decoded([body for _, body in events]), strict=True):
        facts_of.setdefault(seq, []).append(event_of(body))
    inputs = decoded([given for _, _, _, given, _ in records])
    return [
        Record(seq, t_ns, wall_ns, input_of(given), tuple(facts_of.get(seq, ())), by)
        for (seq, t_ns, wall_ns, _, by), given in zip(records, inputs, strict=True)
    ]
