"""What was played on the wall of a run, as changes of the show: a look, a cue, a variation. Pure."""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from showcaller.editing import Change, ChangeError, Put, SetFields, Together
from showcaller.editing.cues import add_cue, item_at
from showcaller.editing.naming import free_id
from showcaller.model import Layer, Look, LookChange, Show
from showcaller.model.base import Part
from showcaller.model.wall import Override
from showcaller.run.playing import look_now
from showcaller.run.state import OnWall
from showcaller.screen.looks import layer_keys
from showcaller.screen.played import PlayedError, overrides_of
from showcaller.screen.surfaces import place_key, place_of

VIDEO = "video"
"""Looks are the cues of the department with this id where nobody brings any yet, if there is one."""

_FIELDS = ("source", "left_m", "bottom_m", "width_m", "height_m", "crop", "opacity", "treatments", "flip")
_THERE = ("left_m", "bottom_m", "width_m", "height_m", "crop", "flip")
"""Those of a layer's further place on a surface."""


def as_look(show: Show, on: OnWall, now_in: Show, name: str) -> tuple[Change, str]:
    """A new look of this name, as the wall stands; and its id. ``now_in`` is the show that is on.

    Raises:
        ChangeError: it has no name, or something of it is not in ``show``.
    """
    name = name.strip()
    if not name:
        raise ChangeError("a look needs a name: type one, or press Escape")
    ident = free_id(name, {k.id for k in show.looks})
    layers = [_part(layer) for layer in _seen(on, now_in)]
    known = {s.id for s in show.sources}
    strange = [x["source"] for x in layers if x["source"] not in known]
    if strange:
        raise ChangeError(f"the book has no source '{strange[0]}': put it in first, then keep the look")
    return Put(
        at=("looks",), index=len(show.looks), part={"id": ident, "name": name, "layers": layers}
    ), ident


def as_cue(
    show: Show,
    on: OnWall,
    now_in: Show,
    item: str,
    place: Mapping[str, Any],
    at_s: Fraction,
    as_it_came: bool = False,
) -> Change:
    """A called cue at a place of an item that brings the wall as it stands: the look with what is otherwise,
    or where no cue can say that of it, a new look. It cuts in, or comes ``as_it_came``.

    Raises:
        ChangeError: the item is not in ``show``.
    """
    name = look_now(now_in, on).name
    own = next((k for k in show.looks if k.id == on.shown.look), None)
    overrides = None if own is None else _otherwise(own, look_now(now_in, on), on)
    first: tuple[Change, ...] = ()
    came: dict[str, Any] = {"by": on.shown.by, "beats": on.shown.beats} if as_it_came else {}
    if own is None or overrides is None:
        made, ident = as_look(show, on, now_in, f"{name} as played")
        first, look = (made,), LookChange(look=ident, **came)
    else:
        look = LookChange(look=own.id, overrides=overrides, **came)
    added, cue = add_cue(show, item, department_for(show, item, on), dict(place), at_s, name)
    return Together(changes=(*first, added, _brings(item, cue, look)))


def as_variation(show: Show, on: OnWall, now_in: Show) -> Change:
    """The cue that brought the look brings it so from now on, in this place alone.

    Raises:
        ChangeError: no cue brought it, or no cue can say what is otherwise.
    """
    planned = on.planned
    if planned is None or planned.cue is None or planned.look != on.shown.look:
        raise ChangeError("no cue brought this look here: keep it as a look, or as a cue (type: bar 9)")
    item = item_at(show, planned.item)
    cue = next((c for c in item.cues if c.id == planned.cue), None)
    own = next((k for k in show.looks if k.id == planned.look), None)
    if cue is None or cue.look is None or own is None or cue.look.look != own.id:
        raise ChangeError("the cue that brought this look is another in the book: keep it as a look")
    overrides = _otherwise(own, look_now(now_in, on), on)
    if overrides is None:
        raise ChangeError(
            "two of its layers have one name, so no cue can mean one of them: keep it as a look"
        )
    return _brings(item.id, cue.id, cue.look.changed(overrides=overrides))


def _brings(item: str, cue: str, change: LookChange) -> Change:
    """Let a cue bring a look in this way."""
    fields = {"look": change.model_dump(mode="json", exclude_defaults=True)}
    return SetFields(at=("items", item, "cues", cue), fields=fields)


def _seen(on: OnWall, now_in: Show) -> tuple[Layer, ...]:
    """The layers as they stand, without those a hand has taken out."""
    look = look_now(now_in, on)
    return tuple(
        layer.model_copy(update={"also": tuple(p for p in layer.also if p.width_m)})
        for key, layer in zip(layer_keys(look), look.layers, strict=True)
        if not on.played.get(key, {}).get("hidden")
    )


def _part(layer: Layer) -> dict[str, Any]:
    """As a document has it; a second one of a name gets one that a document may have."""
    made = layer if layer.id is None else layer.model_copy(update={"id": layer.id.replace("#", "-")})
    return made.model_dump(mode="json", exclude_defaults=True)


def _otherwise(own: Look, now: Look, on: OnWall) -> tuple[Override, ...] | None:
    """What of the look as it stands is otherwise than in the show; None where no cue can say it."""
    before = dict(zip(layer_keys(own), own.layers, strict=True))
    there = dict(zip(layer_keys(now), now.layers, strict=True))
    if set(there) - set(before):
        return None
    played: dict[str, dict[str, Any]] = {}
    for key, was in before.items():
        layer = there.get(key)
        if layer is None or on.played.get(key, {}).get("hidden"):
            played[key] = {"hidden": True}
            continue
        if changed := _changed(was, layer, _FIELDS):
            played[key] = changed
        for place in was.also:
            now_there = place_of(layer, place.surface)
            found = (
                {"hidden": True}
                if now_there is None or not now_there.width_m
                else _changed(place, now_there, _THERE)
            )
            if found:
                played[place_key(key, place.surface)] = found
    try:
        return overrides_of(own, played)
    except PlayedError:
        return None


def _changed(was: Part, now: Part, fields: Iterable[str]) -> dict[str, Any]:
    new = now.model_dump(mode="json", include=set(fields))
    old = was.model_dump(mode="json", include=set(fields))
    return {f: v for f, v in new.items() if v != old[f] and not _near(v, old[f])}


def _near(a: object, b: object) -> bool:
    """The log has tenths of a millimetre."""
    return isinstance(a, float) and isinstance(b, float) and abs(a - b) < 1e-4


def department_for(show: Show, item: str, on: OnWall | None = None) -> str:
    """Whose cue a look is: that of the cue which brought the plan's, else whoever brings looks here."""
    cues = {c.id: c.department for c in show.all_cues()}
    if on is not None and on.planned is not None and on.planned.cue in cues:
        return cues[on.planned.cue]
    bringing = [c.department for c in item_at(show, item).cues if c.look is not None]
    bringing += [c.department for c in show.all_cues() if c.look is not None]
    if bringing:
        return bringing[0]
    known = {d.id for d in show.departments}
    return VIDEO if VIDEO in known else show.departments[0].id


def cue_for(
    show: Show, item: str, place: Mapping[str, Any], at_s: Fraction, change: LookChange, name: str
) -> Change:
    """A called cue of this name at a place of an item that brings a look so."""
    added, cue = add_cue(show, item, department_for(show, item), dict(place), at_s, name)
    return Together(changes=(added, _brings(item, cue, change)))
