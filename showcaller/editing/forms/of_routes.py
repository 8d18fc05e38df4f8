"""Walk-on routes as lines of text: a route's head, and each of its legs."""

import re
from typing import Any

from pydantic import ValidationError

from showcaller.editing.changes import ChangeError, stored
from showcaller.editing.forms.field import seconds_of
from showcaller.editing.forms.of_setup import SetUpLine
from showcaller.editing.naming import free_id
from showcaller.model import Leg, Route, Show
from showcaller.model.clockwords import m_ss
from showcaller.model.quantities import to_json
from showcaller.timing.walkon import plan_walk

HEAD_HINT = "Crowd lane: Lane 54 m; camera ahead of the band, 20 s before; Tam Vale: leads with the torch"
LEG_HINT = "Lane 54 m, 12 stairs, 1.07 m/s; needs Lane clear, Gate open; posted Ada at the gate; radio 4"

_LEG = re.compile(
    r"^(?P<name>.+?)\s+(?P<m>\d+(?:\.\d+)?)\s*m(?:,\s*(?P<stairs>\d+)\s+(?:stairs|steps))?"
    r"(?:,\s*(?P<pace>\d+(?:\.\d+)?)\s*m/s)?$",
    re.IGNORECASE,
)
_SECOND = re.compile(r"\d\s*m\b", re.IGNORECASE)
"""A length inside a leg's name."""
_CAMERA = re.compile(r"^camera\s+(?P<shot>.+?)(?:,\s*(?P<before>[\d.:]+)\s*s?\s+before)?$", re.IGNORECASE)
_USUAL_PACE = Leg.model_fields["pace_m_s"].default


def route_lines(show: Show) -> tuple[SetUpLine, ...]:
    """Every route's head (its list is ``routes``), followed by its legs (``routes/ID``, by their places)."""
    found = []
    for route in show.routes:
        found.append(SetUpLine("routes", route.id, route_text(route)))
        found += [
            SetUpLine(f"routes/{route.id}", str(n), leg_text(show, leg)) for n, leg in enumerate(route.legs)
        ]
    return tuple(found)


def route_text(route: Route) -> str:
    """``Crowd lane: camera ahead of the band, 20 s before; Tam: leads with the torch``."""
    parts = []
    if route.camera is not None:
        before = f", {to_json(route.preroll_s)} s before" if route.preroll_s else ""
        parts.append(f"camera {route.camera}{before}")
    parts += [f"{walker.name}: {walker.task}" for walker in route.people]
    return f"{route.name}: {'; '.join(parts)}" if parts else f"{route.name}:"


def leg_text(show: Show, leg: Leg) -> str:
    """``Lane 54 m, 12 stairs; needs Lane clear; posted Ada at the gate; radio 4``."""
    walk = f"{leg.name} {leg.length_m:g} m"
    walk += f", {leg.stairs} stairs" if leg.stairs else ""
    walk += f", {leg.pace_m_s:g} m/s" if leg.pace_m_s != _USUAL_PACE else ""
    names = {c.id: c.name for c in show.clearances}
    parts = [walk]
    parts += [f"needs {', '.join(names[c] for c in leg.clearances)}"] if leg.clearances else []
    parts += [f"posted {leg.posted}"] if leg.posted else []
    parts += [f"radio {leg.radio}"] if leg.radio else []
    return "; ".join(parts)


def leave_words(route: Route) -> str:
    """What is worked out of a route, as it is: how long it takes, and when they leave before the downbeat."""
    plan = plan_walk(route, 0.0)
    roll = f", camera rolls {m_ss(round(-plan.camera_by_s))} before" if route.camera is not None else ""
    takes, leave = m_ss(round(plan.takes.mean_s)), m_ss(round(-plan.leave_by_s))
    return f"about {takes} on the way; leave {leave} before the downbeat: in time on 19 nights of 20{roll}"


def parse_route(show: Show, text: str, ident: str | None = None) -> dict[str, Any]:
    """A route in the document's form; one that is there (``ident``) keeps its id and its legs.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    name, colon, rest = text.strip().partition(":")
    if not colon or not name.strip():
        raise ChangeError(f"'{text}' needs a name and a colon; give {HEAD_HINT}")
    part: dict[str, Any] = {"name": name.strip()}
    legs: list[dict[str, Any]] = []
    people: list[dict[str, str]] = []
    for words in (w.strip() for w in rest.split(";")):
        camera = _CAMERA.match(words)
        if not words:
            continue
        if camera is not None:
            part["camera"] = camera["shot"].strip()
            if camera["before"]:
                part["preroll_s"] = seconds_of(camera["before"], "camera")
        elif _LEG.match(words):
            legs.append(parse_leg(show, words))
        else:
            people.append(_walker(words))
    old = next((r for r in show.routes if r.id == ident), None)
    if old is not None:
        legs = [stored(leg) for leg in old.legs] + legs
    if not legs:
        raise ChangeError(f"a new route needs its first leg, such as Lane 54 m; give {HEAD_HINT}")
    part["legs"] = legs
    if people:
        part["people"] = people
    part["id"] = ident or free_id(part["name"], {r.id for r in show.routes})
    return part


def parse_leg(show: Show, text: str) -> dict[str, Any]:
    """A leg in the document's form; its clearances by name or id.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    head, *rest = [words.strip() for words in text.split(";")]
    match = _LEG.match(head)
    if match is None:
        raise ChangeError(f"'{head}' needs a name and its metres; give {LEG_HINT}")
    if _SECOND.search(match["name"]):
        raise ChangeError(
            f"'{head}' has the metres of two legs: each leg is a line of its own, such as {LEG_HINT}"
        )
    part: dict[str, Any] = {"name": match["name"].strip(), "length_m": float(match["m"])}
    if match["stairs"]:
        part["stairs"] = int(match["stairs"])
    if match["pace"]:
        part["pace_m_s"] = float(match["pace"])
    for words in rest:
        what, _, value = words.partition(" ")
        if what.lower() == "needs":
            part["clearances"] = [_clearance(show, w.strip()) for w in value.split(",") if w.strip()]
        elif what.lower() in ("posted", "radio") and value.strip():
            part[what.lower()] = value.strip()
        elif words:
            raise ChangeError(f"'{words}' is not understood; give needs, posted or radio, as in {LEG_HINT}")
    return part


def route_typed(show: Show, where: str, ident: str | None, text: str) -> Route | None:
    """The route as it would be if this line were taken; None while it cannot be read.

    ``where`` is ``routes`` for a head and ``routes/ID`` for a leg, whose ``ident`` is its place, or None for
    one more.
    """
    try:
        if where == "routes":
            return Route.model_validate(parse_route(show, text, ident))
        route = next(r for r in show.routes if r.id == where.partition("/")[2])
        leg = Leg.model_validate(parse_leg(show, text))
    except (ChangeError, ValidationError, StopIteration):
        return None
    legs = list(route.legs)
    if ident is None:
        legs.append(leg)
    else:
        legs[int(ident)] = leg
    return route.model_copy(update={"legs": tuple(legs)})


def _walker(words: str) -> dict[str, str]:
    name, colon, task = words.partition(":")
    if not colon:
        name, _, task = words.partition(" ")
    if not task.strip():
        raise ChangeError(f"'{words}' needs a name and what they do, such as Tam: leads with the torch")
    return {"name": name.strip(), "task": task.strip()}


def _clearance(show: Show, words: str) -> str:
    for clearance in show.clearances:
        if words.lower() in (clearance.name.lower(), clearance.id):
            return clearance.id
    have = ", ".join(c.name for c in show.clearances[:6]) or "none yet: give it above"
    raise ChangeError(f"no clearance '{words}' in this show; it has {have}")
