"""What a hand played on the wall in a run, a gesture a line: not the hundred steps of a drag. Pure."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from showcaller.model.wall import Override
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.runlog import Record
from showcaller.screen.surfaces import split_key
from showcaller.screen.words import crop_text, treatments_text
from showcaller.values import Struct

NO_NAMES: Mapping[str, str] = MappingProxyType({})

GESTURE_NS = NS
"""Changes of the same fields of a layer this soon after each other are one gesture."""


class Gesture(Struct, frozen=True):
    """A layer changed by hand from ``since_ns`` to ``until_ns``, and so from then on.

    Attributes:
        number: which look of the run stood, from 0 in the order they came.
        layer: what it goes by in that look.
        fields: each with its last value.
        first: the first event; ``last`` the last one.
    """

    number: int
    since_ns: int
    until_ns: int
    layer: str
    fields: Mapping[str, Any]
    first: ev.LayerPlayed
    last: ev.LayerPlayed


def gestures(records: Iterable[Record]) -> tuple[Gesture, ...]:
    """Every gesture of a run in order."""
    found: list[Gesture] = []
    number = -1
    for record in records:
        for event in record.events:
            if isinstance(event, ev.LookShown):
                number += 1
            elif isinstance(event, ev.LayerPlayed):
                _add(found, number, record.t_ns, event)
    return tuple(found)


def _add(found: list[Gesture], number: int, t_ns: int, event: ev.LayerPlayed) -> None:
    """Goes on with the gesture of that layer, if one goes on; a hand may be on two at once."""
    for n in range(len(found) - 1, -1, -1):
        one = found[n]
        if one.number != number or t_ns - one.until_ns > GESTURE_NS:
            break
        if one.layer == event.layer and one.fields.keys() == event.fields.keys():
            found[n] = Gesture(number, one.since_ns, t_ns, one.layer, event.fields, one.first, event)
            return
    found.append(Gesture(number, t_ns, t_ns, event.layer, event.fields, event, event))


def gesture_words(
    gesture: Gesture,
    looks: Mapping[str, ev.LookShown],
    sources: Mapping[str, str],
    surfaces: Mapping[str, str] = NO_NAMES,
) -> str:
    """``Gate camera · 10 × 5.6 m at 21.1, 2.9 · 60 %``; ``looks`` are those of the run by id, ``sources`` and
    ``surfaces`` names by id."""
    shown = looks.get(gesture.last.look)
    layer, surface = split_key(gesture.layer)
    name = layer.partition("#")[0]
    for fact in shown.layers if shown is not None else ():
        if name in (fact.get("id"), fact["source"]):
            name = sources.get(str(fact["source"]), name)
            break
    where = f"{name} on {surfaces.get(surface, surface)}" if surface else name
    return " · ".join((where, *_values(gesture.fields, sources)))


def _values(fields: Mapping[str, Any], sources: Mapping[str, str]) -> Iterable[str]:
    made = Override.model_validate({"layer": "any", **fields})
    if made.source is not None:
        yield sources.get(made.source, made.source)
    size = f"{made.width_m:g} × {made.height_m:g} m " if made.width_m and made.height_m else ""
    if made.left_m is not None and made.bottom_m is not None:
        yield f"{size}at {made.left_m:g}, {made.bottom_m:g}"
    elif size:
        yield size.strip()
    if made.crop is not None:
        yield f"crop {crop_text(made.crop)}"
    if made.opacity is not None:
        yield f"{made.opacity * 100:.3g} %"
    if made.treatments is not None:
        yield treatments_text(made.treatments) or "no treatment"
    if made.flip is not None:
        yield f"flipped {made.flip}" if made.flip != "none" else "not flipped"
    if "hidden" in fields:
        yield "out" if made.hidden else "back in"
