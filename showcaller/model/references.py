"""Every reference inside a show document leads somewhere, and nothing is named twice.

Each finding is a (path, sentence) pair; the sentence says what would do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from showcaller.model.anchors import AfterAnchor
from showcaller.model.items import Song, WalkOn
from showcaller.model.messages import OscMessage
from showcaller.model.outlets import MidiOutlet

if TYPE_CHECKING:
    from showcaller.model.cues import Cue
    from showcaller.model.show import Show

Finding = tuple[str, str]

_NO_CODE = ("50", "59.94 drop")
"""Rates that neither MIDI Time Code nor linear timecode (SMPTE ST 12-1) carries."""


def reference_errors(show: Show) -> Iterator[Finding]:
    """All references of ``show`` that do not hold, in document order."""
    for name in ("departments", "outlets", "clearances", "routes", "sources", "looks", "day", "items"):
        yield from _twice(name, getattr(show, name))
    if show.wall is not None:
        yield from _twice("wall.inputs", show.wall.inputs)
    known = _Known(show)
    for i, route in enumerate(show.routes):
        for j, leg in enumerate(route.legs):
            yield from known.missing(f"routes[{i}].legs[{j}].clearances", "clearance", leg.clearances)
    for i, look in enumerate(show.looks):
        for j, layer in enumerate(look.layers):
            yield from known.missing(f"looks[{i}].layers[{j}].source", "source", [layer.source])
    if show.timecode_in is not None and show.timecode_rate in _NO_CODE:
        yield (
            "timecode_in",
            f"timecode comes in at 30 frames a second at most, and the show's rate is {show.timecode_rate}; "
            "change timecode_rate, or leave timecode_in out",
        )
    for i, thing in enumerate(show.day):
        yield from known.missing(f"day[{i}].departments", "department", thing.departments)
    yield from _items(show, known)


class _Known:
    """The ids that may be named, by what they name."""

    def __init__(self, show: Show) -> None:
        self.ids: dict[str, dict[str, Any]] = {
            "department": {d.id: d for d in show.departments},
            "outlet": {o.id: o for o in show.outlets},
            "clearance": {c.id: c for c in show.clearances},
            "route": {r.id: r for r in show.routes},
            "source": {s.id: s for s in show.sources},
            "look": {k.id: k for k in show.looks},
            "item": {i.id: i for i in show.items},
            "cue": {c.id: c for c in show.all_cues()},
        }

    def missing(self, path: str, what: str, names: Iterable[str]) -> Iterator[Finding]:
        known = self.ids[what]
        for name in names:
            if name not in known:
                have = ", ".join(list(known)[:6]) or "none"
                more = ", …" if len(known) > 6 else ""
                yield path, f"no {what} '{name}' in this show; it has {have}{more}"


def _twice(path: str, parts: Iterable[Any]) -> Iterator[Finding]:
    first: dict[str, int] = {}
    for i, part in enumerate(parts):
        if part.id in first:
            yield f"{path}[{i}].id", f"'{part.id}' is used already by {path}[{first[part.id]}]; give another"
        first.setdefault(part.id, i)


def _items(show: Show, known: _Known) -> Iterator[Finding]:
    ids: dict[str, str] = {}
    numbers: dict[tuple[str, Any], str] = {}
    if all(item.out for item in show.items):
        yield "items", "every item is out, so there is nothing to play; put one back in"
    for i, item in enumerate(show.items):
        if item.instead_of is not None:
            yield from known.missing(f"items[{i}].instead_of", "item", [item.instead_of])
        if isinstance(item, WalkOn) and item.route is not None:
            yield from known.missing(f"items[{i}].route", "route", [item.route])
        for j, cue in enumerate(item.cues):
            path = f"items[{i}].cues[{j}]"
            if cue.id in ids:
                yield f"{path}.id", f"'{cue.id}' is used already by {ids[cue.id]}; give another"
            ids.setdefault(cue.id, path)
            key = (cue.department, cue.number)
            if key in numbers:
                department = known.ids["department"].get(cue.department)
                name = department.name if department else cue.department
                yield (
                    f"{path}.number",
                    f"{name} {cue.number} is used already by {numbers[key]}; give a free number",
                )
            numbers.setdefault(key, path)
            yield from _cue(known, path, cue, isinstance(item, Song) and bool(item.tempo))


def _cue(known: _Known, path: str, cue: Cue, has_tempo: bool) -> Iterator[Finding]:
    yield from known.missing(f"{path}.department", "department", [cue.department])
    yield from known.missing(f"{path}.needs", "clearance", cue.needs)
    if cue.look is not None:
        yield from known.missing(f"{path}.look.look", "look", [cue.look.look])
    if isinstance(cue.anchor, AfterAnchor):
        yield from known.missing(f"{path}.anchor.cue", "cue", [cue.anchor.cue])
    if cue.anchor.at == "bar" and not has_tempo:
        yield f"{path}.anchor", "this item has no tempo, so no bars; anchor the cue by seconds or by eye"
    if cue.fires == "by itself":
        if cue.anchor.at == "visual":
            yield f"{path}.fires", "a cue seen by eye cannot fire by itself; set fires to 'called'"
        if cue.hazard is not None:
            yield f"{path}.fires", "a hazardous cue never fires by itself; set fires to 'called'"
    for k, message in enumerate(cue.messages):
        at = f"{path}.messages[{k}].outlet"
        yield from known.missing(at, "outlet", [message.outlet])
        outlet = known.ids["outlet"].get(message.outlet)
        if outlet is not None and isinstance(outlet, MidiOutlet) == isinstance(message, OscMessage):
            yield (
                at,
                f"'{outlet.id}' is {outlet.kind}, which cannot carry {message.kind}; name another outlet",
            )
