"""The day around the show: what is planned when, with whom."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from showcaller.model.base import Id, Part, Text

ClockTime = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?$")]
"""Local time of day, ``hh:mm`` or ``hh:mm:ss``; one earlier than that before it is on the next day."""

DayKind = Literal[
    "get-in", "build", "sound check", "doors", "support", "changeover", "show", "curfew", "get-out", "other"
]


class DayItem(Part):
    """One thing of the day, from ``starts_at`` to ``ends_at`` (a moment, such as the curfew, has no end)."""

    id: Id
    name: Text
    kind: DayKind = "other"
    starts_at: ClockTime
    ends_at: ClockTime | None = None
    departments: tuple[Id, ...] = ()
    crew: Annotated[int, Field(ge=0, le=10_000)] = 0
    """People called for it."""
    trucks: Annotated[int, Field(ge=0, le=1000)] = 0
    notes: str = ""
