"""What the tour hands out: plain frozen values, tied to no database."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Edition:
    """A frozen version of a show. ``digest`` is the SHA-256 of its document's text, in hex."""

    number: int
    digest: str
    name: str
    created_wall_ns: int


@dataclass(frozen=True, slots=True)
class Run:
    """One night, or one rehearsal, of one edition.

    ``run_id`` is the journal's own; ``simulated`` is the seed of a simulated caller, None for a person.
    ``ended_wall_ns`` is the last thing recorded while the run is not ``finished``.
    """

    number: int
    run_id: str
    edition: int
    caller: str
    muted: bool
    simulated: int | None
    started_wall_ns: int
    ended_wall_ns: int
    finished: bool
    records: int


@dataclass(frozen=True, slots=True)
class Event:
    """One fact of a run, in the order it happened: the ``ordinal``-th (from 0) of record ``seq``.

    ``planned_s`` and ``actual_s`` are seconds into the item where the kind has them; ``body`` is the whole
    event as it was recorded.
    """

    seq: int
    ordinal: int
    t_ns: int
    wall_ns: int
    kind: str
    item: str | None
    cue: str | None
    planned_s: float | None
    actual_s: float | None
    body: Mapping[str, Any]
