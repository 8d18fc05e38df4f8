"""The day around the show: what is planned when, with whom."""

from typing import Annotated, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, Field, StringConstraints

from showcaller.model.base import Id, Part, Text

ClockTime = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?$")]
"""Local time of day, ``hh:mm`` or ``hh:mm:ss``; one earlier than that before it is on the next day."""


def _zone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (ValueError, OSError, ZoneInfoNotFoundError):  # a folder of zones is no zone
        raise ValueError(f"'{name}' is no time zone; give its name, such as Europe/Berlin") from None
    return name


TimeZone = Annotated[
    str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9_+/-]*$", max_length=60), AfterValidator(_zone)
]
"""A zone of the time zone database by its name, ``Europe/Berlin``: it knows when clocks change."""

DayKind = Literal[
    "get-in", "build", "line check", "sound check", "doors", "support", "changeover", "show", "curfew",
    "get-out", "truck", "other",
]  # fmt: skip


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
    dock: str = ""
    """Of a truck: where it is loaded. It is there from ``starts_at`` (doors open) to ``ends_at`` (closed)."""
    carries: str = ""
    """Of a truck: what goes in, in the order it goes in."""
    notes: str = ""
