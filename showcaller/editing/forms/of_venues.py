"""Venues as lines of text: the place and its times, its nights, whom to call there, its own rules."""

import re
from datetime import date
from typing import Any

from showcaller.editing.changes import ChangeError
from showcaller.editing.naming import free_id
from showcaller.model import Contact, Show, Venue

VENUE_HINT = "Kestrel Dock Arena: starts 20:45; curfew 23:00; Europe/Berlin"
NIGHT_HINT = "2026-08-01"
CONTACT_HINT = "Medical: Ada Lind, 0170 555 0101"
RULE_HINT = "No pyrotechnics above the lighting bridge"

_NUMBER = re.compile(r"^(?P<name>[^,\d]+?),?\s+(?P<number>\+?\d[\d\s/().-]{4,})$")
_TIME = re.compile(r"^(starts(?: at)?|curfew)\s+(\S+)(\s+next day)?$", re.IGNORECASE)


def venue_text(venue: Venue) -> str:
    """``Kestrel Dock Arena: starts 20:45; curfew 23:00; Europe/Berlin``."""
    curfew = "no curfew" if venue.curfew is None else f"curfew {venue.curfew}"
    if venue.curfew is not None and venue.curfew[:5] <= venue.starts_at[:5]:
        curfew += " next day"
    return f"{venue.name}: " + "; ".join(filter(None, (f"starts {venue.starts_at}", curfew, venue.time_zone)))


def parse_venue(show: Show, text: str, was: Venue | None = None) -> dict[str, Any]:
    """A venue in the document's form; one that is there keeps its id. What is not said is as tonight's.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    name, colon, rest = text.strip().partition(":")
    if not name.strip() or (colon and not rest.strip() and was is None):
        raise ChangeError(f"'{text.strip()}' needs a name, and after a colon its times; give {VENUE_HINT}")
    taken = {v.name: v for v in show.venues}
    other = taken.get(name.strip())
    if other is not None and (was is None or other.id != was.id):
        raise ChangeError(f"'{name.strip()}' is there already: change it, or give this one another name")
    base = was if was is not None else show
    part: dict[str, Any] = {
        "name": name.strip(), "starts_at": base.starts_at, "curfew": base.curfew, "time_zone": base.time_zone
    }  # fmt: skip
    past: bool | None = None
    for word in filter(None, (w.strip() for w in rest.split(";"))):
        match = _TIME.match(word)
        if match is not None:
            key = "curfew" if match[1].lower() == "curfew" else "starts_at"
            part[key] = _clock(match[2])
            past = bool(match[3]) if key == "curfew" else past
        elif word.lower() == "no curfew":
            part["curfew"] = None
        elif "/" in word or word.upper() == "UTC":
            part["time_zone"] = word
        else:
            raise ChangeError(f"'{word}' is not understood; give {VENUE_HINT}")
    after = part["curfew"] is not None and part["curfew"][:5] <= part["starts_at"][:5]
    if past is not None and after != past:
        raise ChangeError(
            f"the curfew {part['curfew']} is not after the start {part['starts_at']}: "
            f"type 'curfew {part['curfew']} next day' if it is past midnight"
            if after
            else f"{part['curfew']} is after the start on the same evening; type it without 'next day'"
        )
    part["id"] = was.id if was is not None else free_id(part["name"], {v.id for v in show.venues})
    return part


def parse_night(text: str) -> str:
    """A night's date.

    Raises:
        ChangeError: it is none.
    """
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise ChangeError(f"'{text.strip()}' is no date; write year, month and day as {NIGHT_HINT}") from None


def contact_text(contact: Contact) -> str:
    """``Medical: Ada Lind, 0170 555 0101``."""
    return f"{contact.role}: {contact.name}" + (f", {contact.reached}" if contact.reached else "")


def parse_contact(text: str) -> dict[str, Any]:
    """A contact in the document's form.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    role, colon, rest = text.strip().partition(":")
    called = _NUMBER.match(rest.strip())  # a number needs no comma before it
    name, _, reached = (called["name"], "", called["number"]) if called else rest.partition(",")
    if not colon or not role.strip() or not name.strip():
        raise ChangeError(f"'{text.strip()}' needs what for, a colon and who; give {CONTACT_HINT}")
    part = {"role": role.strip(), "name": name.strip()}
    return {**part, "reached": reached.strip()} if reached.strip() else part


def _clock(text: str) -> str:
    match = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", text)
    if match is None:
        raise ChangeError(f"'{text}' is not a time of day; give hh:mm, such as 20:45")
    return f"{int(match[1]):02}:{match[2]}"
