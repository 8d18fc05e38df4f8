"""A run as it is recorded: an append-only log of records, each an input and what came of it.

The same records are written to the journal, published to the desks and kept in the tour. ``input`` alone is
enough to replay the run through the state machine; ``events`` say in plain facts what happened.
"""

import json
from collections.abc import Iterable

from showcaller.run.codec import event_dict, event_from, input_dict, input_from, to_json
from showcaller.run.commands import Input
from showcaller.run.events import Event
from showcaller.values import Struct

RUNLOG_VERSION = 1

RECORD_BEGINNING = b'{"seq":'
"""What every record begins with, as bytes."""

NOT_CLEAR = "not clear"
"""What is put down by the run itself when a leg was walked without its clearance: it stands with the
incidents."""
MOMENTS = ("last note", "house lights")
"""What can be marked of an evening beside its items."""
INCIDENTS = ("injury", "near miss", "damage")
"""What a note may be about. Each is looked at before any figure of how long something took."""


def record_bytes(
    seq: int, t_ns: int, wall_ns: int, given: Input, events: Iterable[Event], by: str = ""
) -> bytes:
    """The bytes of :class:`Record` without making one: on the go path."""
    body = {
        "seq": seq,
        "t": t_ns,
        "wall": wall_ns,
        "in": input_dict(given),
        "ev": [event_dict(e) for e in events],
    }
    if by:
        body["by"] = by
    return to_json(body).encode()


class Record(Struct, frozen=True):
    """One step of a run.

    ``seq`` counts from 1 without gaps; ``t_ns`` is monotonic and decides; ``wall_ns`` is Unix time, for
    people.
    """

    seq: int
    t_ns: int
    wall_ns: int
    input: Input
    events: tuple[Event, ...] = ()
    by: str = ""
    """The id of the desk that asked for it; empty for what came by itself, and in logs of before."""

    def to_bytes(self) -> bytes:
        """Compact UTF-8 JSON."""
        return record_bytes(self.seq, self.t_ns, self.wall_ns, self.input, self.events, self.by)

    @classmethod
    def without_events(cls, data: bytes | str) -> "Record":
        """The record in ``data`` without its events, which replaying does not need and which are most of it;
        raises ValueError when it is not one."""
        body = json.loads(data)
        try:
            if not isinstance(body["ev"], list):
                raise ValueError("not a run record: its events are no list")
            return cls(body["seq"], body["t"], body["wall"], input_from(body["in"]))
        except (KeyError, TypeError, AttributeError) as error:
            raise ValueError(f"not a run record: {error}") from None

    @classmethod
    def from_bytes(cls, data: bytes | str) -> "Record":
        """The record in ``data``; raises ValueError when it is not one."""
        body = json.loads(data)
        try:
            events = tuple([event_from(e) for e in body["ev"]])
            given, by = input_from(body["in"]), body.get("by", "")
            return cls(body["seq"], body["t"], body["wall"], given, events, by)
        except (KeyError, TypeError, AttributeError) as error:
            raise ValueError(f"not a run record: {error}") from None
