"""When the things of the day are, past midnight too, and which of them stand in each other's way. Pure."""

from datetime import date, datetime, time, timedelta
from itertools import combinations
from typing import Protocol

from showcaller.model import DayItem, Show

DOOR_MIN = 30
"""Minutes that a truck is at its dock where no end is planned (common practice, no source)."""


class Planned(Protocol):
    """A show, or what is known of one: it has a day sheet."""

    @property
    def day(self) -> tuple[DayItem, ...]:
        """The things of the day, in order."""
        ...


def day_instants(show: Planned, on: date) -> list[tuple[DayItem, datetime, datetime | None]]:
    """The day's items with their beginnings and ends, local time; past midnight where the clock runs back."""
    found = []
    before = datetime.combine(on, time(0))
    for item in show.day:
        starts = datetime.combine(before.date(), time.fromisoformat(item.starts_at))
        # Half a day back is a new day; a little back is something that runs beside the one before.
        if before - starts > timedelta(hours=12):
            starts += timedelta(days=1)
        ends = None
        if item.ends_at is not None:
            ends = datetime.combine(starts.date(), time.fromisoformat(item.ends_at))
            ends += timedelta(days=1) if ends <= starts else timedelta(0)
        before = starts
        found.append((item, starts, ends))
    return found


def place_of_new(show: Show, starts_at: str) -> int:
    """Where one more belongs in the order of the day. Before six in the morning is past midnight, once
    something is planned in the afternoon or later."""
    on = date(2000, 1, 1)
    begun = [starts for _, starts, _ in day_instants(show, on)]
    new = datetime.combine(on, time.fromisoformat(starts_at))
    if new.hour < 6 and any(at >= datetime.combine(on, time(12)) for at in begun):
        new += timedelta(days=1)
    return next((n for n, at in enumerate(begun) if at > new), len(begun))


def trucks(show: Show) -> tuple[DayItem, ...]:
    """Those of the day that are a truck at a dock, in the order in which they are loaded."""
    return tuple(item for item in show.day if item.kind == "truck")


def dock_clashes(show: Show) -> list[str]:
    """A sentence for every two trucks that are planned at one dock at the same time."""
    at = [
        (item, starts, ends or starts + timedelta(minutes=DOOR_MIN))
        for item, starts, ends in day_instants(show, date(2000, 1, 1))
        if item.kind == "truck" and item.dock
    ]
    return [
        f"'{a.name}' and '{b.name}' are both at dock {a.dock} at {max(a_from, b_from):%H:%M}"
        for (a, a_from, a_to), (b, b_from, b_to) in combinations(at, 2)
        if a.dock.casefold() == b.dock.casefold() and a_from < b_to and b_from < a_to
    ]
