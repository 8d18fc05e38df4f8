"""Where the show plays: what a place gives that another does not, and on which nights."""

import datetime
from typing import Annotated

from pydantic import AfterValidator, StringConstraints

from showcaller.model.base import Id, Part, Text
from showcaller.model.day import ClockTime, TimeZone
from showcaller.model.people import Route


def _day(text: str) -> str:
    try:
        datetime.date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"'{text}' is no day of the calendar; write it as 2026-08-01") from None
    return text


Date = Annotated[str, StringConstraints(pattern=r"^\d{4}-\d{2}-\d{2}$"), AfterValidator(_day)]
"""A day, ``2026-08-01`` (ISO 8601); a night that ends after midnight is the evening it began on."""


class Contact(Part):
    """Somebody to call: what for, who, and how."""

    role: Text
    name: Text
    reached: Text | None = None
    """A telephone number, or the radio channel."""


class Venue(Part):
    """A place of the tour. On a night there its times, zone and routes are the show's.

    ``routes`` take the place of the show's with the same id. ``rules`` are the house's and the country's own,
    in its words: showcaller repeats them and works nothing out from them.
    """

    id: Id
    name: Text
    nights: tuple[Date, ...] = ()
    starts_at: ClockTime
    curfew: ClockTime | None = None
    time_zone: TimeZone | None = None
    rules: tuple[Text, ...] = ()
    contacts: tuple[Contact, ...] = ()
    routes: tuple[Route, ...] = ()
