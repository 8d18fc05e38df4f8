"""A night is show, venue and date: what a venue gives lies over the show's own values. Pure."""

import re
from collections.abc import Iterable, Sequence
from typing import Any

from showcaller.editing.changes import Change, ChangeError, Put, SetFields, Together, apply, stored
from showcaller.editing.naming import free_id
from showcaller.model import Contact, Route, Show, Venue, Wall
from showcaller.model.venues import OF_THE_PLACE

_OWN = ("starts_at", "curfew", "time_zone")
FIRST_CALLED = ("medical", "first aid", "security", "fire")
"""Who stands first on the contact sheet: whoever needs them has no time to look (common practice, no source).
"""


def venue_of_tonight(show: Show) -> Venue | None:
    """The venue whose name the show has; None where it is none of the tour's."""
    return next((v for v in show.venues if v.name == show.venue), None)


def night_words(show: Show) -> str:
    """``Kestrel Dock Arena, 2026-08-01``."""
    return f"{show.venue}, {show.date}" if show.date is not None else show.venue


def captured(show: Show) -> dict[str, Any]:
    """What the show has tonight that a venue gives, as the document has it."""
    found: dict[str, Any] = {name: getattr(show, name) for name in _OWN}
    found |= {name: [stored(part) for part in getattr(show, name)] for name in ("routes", "day", "surfaces")}
    return found | {"house": None if show.house is None else stored(show.house)}


def _kept(show: Show, taken: Iterable[str] = ()) -> list[Change]:
    """Tonight's place becomes a venue of the tour where it is none yet, so that nothing of it is lost."""
    if venue_of_tonight(show) is not None:
        return []
    ident = free_id(show.venue, {*taken, *(v.id for v in show.venues)})
    nights = [show.date] if show.date is not None else []
    own = {"id": ident, "name": show.venue, "nights": nights, **captured(show)}
    return [Put(at=("venues",), index=len(show.venues), part=own)]


def add_venue(show: Show, part: dict[str, Any]) -> Change:
    """One more venue of the tour; tonight's own becomes one too."""
    changes = _kept(show, [str(part["id"])]) if part["name"] != show.venue else []
    changes.append(Put(at=("venues",), index=len(show.venues) + len(changes), part=part))
    return Together(changes=tuple(changes))


def play_at(show: Show, ident: str, date: str | None = None) -> Change:
    """Tonight at a venue: its times, zone, routes, day sheet, stage and size of surfaces become the show's;
    what the show has now goes back to the venue it was at, so that the way back loses nothing.

    Raises:
        ChangeError: there is no such venue.
    """
    venue = next((v for v in show.venues if v.id == ident), None)
    if venue is None:
        have = ", ".join(v.name for v in show.venues) or "none yet"
        raise ChangeError(f"there is no venue '{ident}'; this show has {have}")
    was = venue_of_tonight(show)
    if was is not None and was.id == ident:  # another night here: what the show has now counts
        return Together(changes=(SetFields(at=(), fields={"date": date}),))
    changes = _kept(show)
    if was is not None:
        changes.append(SetFields(at=("venues", was.id), fields=captured(show)))
    own = {route.id: route for route in venue.routes}
    routes = [own.pop(route.id, route) for route in show.routes] + list(own.values())
    changes.append(
        SetFields(
            at=(),
            fields={
                "venue": venue.name,
                "date": date,
                **{name: getattr(venue, name) for name in _OWN},
                "routes": [stored(route) for route in _in_use(show, venue, routes)],
                **_as_built(show, venue),
            },
        )
    )
    return Together(changes=tuple(changes))


def _as_built(show: Show, venue: Venue) -> dict[str, Any]:
    """Its day, stage and surfaces; nothing where the show has not played there: what it has goes on."""
    if venue.day is None:
        return {}
    known = {d.id for d in show.departments}
    day = [x.changed(departments=tuple(d for d in x.departments if d in known)) for x in venue.day]
    there = {surface.id: surface for surface in venue.surfaces}
    surfaces = [_laid(surface, there.get(surface.id)) for surface in show.surfaces]
    inputs = [one.id for surface in surfaces for one in surface.inputs]
    if len(set(inputs)) < len(inputs):  # one went to another surface since
        surfaces = list(show.surfaces)
    return {
        "day": [stored(x) for x in day],
        "surfaces": [stored(x) for x in surfaces],
        "house": None if venue.house is None else stored(venue.house),
    }


def _laid(surface: Wall, there: Wall | None) -> Wall:
    """A surface in the size it has in a place."""
    if there is None:
        return surface
    made: Wall = surface.changed(**{name: getattr(there, name) for name in OF_THE_PLACE})
    return made


def _in_use(show: Show, venue: Venue, routes: Sequence[Route]) -> list[Route]:
    """Without the ways of another house that no walk-on of the show goes."""
    walked = {getattr(item, "route", None) for item in show.items}
    own = {route.id for route in venue.routes}
    return [route for route in routes if not own or route.id in own or route.id in walked]


def at_venue(show: Show, ident: str) -> Show:
    """The show as it is at a venue, to be compared with another.

    Raises:
        ChangeError: there is no such venue.
    """
    made, _ = apply(show, Together(changes=(play_at(show, ident), SetFields(at=(), fields={"venues": []}))))
    return made


def in_calling_order(contacts: Sequence[Contact]) -> tuple[Contact, ...]:
    """Medical, security, fire first; the others as they were typed."""

    def place(contact: Contact) -> int:
        role = contact.role.lower()
        return next((n for n, word in enumerate(FIRST_CALLED) if re.search(rf"\b{word}\b", role)), 9)

    return tuple(sorted(contacts, key=place))
