"""Where the show plays: what a place gives that another does not, and on which nights."""

import datetime
from typing import Annotated

from pydantic import AfterValidator, StringConstraints

from showcaller.model.base import Id, Part, Text
from showcaller.model.day import ClockTime, DayItem, TimeZone
from showcaller.model.house import House
from showcaller.model.people import Route
from showcaller.model.wall import Wall


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
    """A place of the tour. On a night there its times, zone, routes, day sheet, stage and the size of its
    surfaces are the show's.

    ``routes`` take the place of the show's with the same id. ``day`` and ``house`` are None, and ``surfaces``
    empty, until the show has played there: it then begins with those it has. Of ``surfaces`` counts what is
    the place's (:data:`OF_THE_PLACE`); the channels tour with the show. ``rules`` are the house's and the
    country's own, in its words: showcaller repeats them and works nothing out from them.
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
    day: tuple[DayItem, ...] | None = None
    surfaces: tuple[Wall, ...] = ()
    house: House | None = None


OF_THE_PLACE = (
    "stands", "place", "width_m", "height_m", "width_px", "height_px", "panel_px", "inputs", "back_row_m",
    "white_cd_m2", "black_cd_m2", "ambient_cd_m2", "black_w_m2", "white_w_m2", "phase_v", "power_factor",
)  # fmt: skip
"""What of a surface is as it can be built in a house: its pieces, the light there, the supply."""
