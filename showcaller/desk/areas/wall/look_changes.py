"""Edits of looks as changes of the show: layers, and how a cue brings a look. No Qt."""

from collections.abc import Mapping
from typing import Any

from showcaller.desk.areas.wall.covering import filling
from showcaller.desk.areas.wall.look_line import LookLine, read_layers
from showcaller.editing import Change, ChangeError, Move, Path, Put, SetFields, Take, Together
from showcaller.editing.forms.look_change import HOW_HINT, parse_how
from showcaller.editing.naming import free_id
from showcaller.model import Layer, Look, LookChange, Show, Source, Wall
from showcaller.model.wall import Override
from showcaller.screen.looks import layer_keys
from showcaller.screen.surfaces import PLACE_FIELDS, first_id, place_key, placed_on
from showcaller.values import Struct, replace

_OVERRIDABLE = frozenset(Override.model_fields) - {"layer", "hidden", "surface"}


class LayerPlace(Struct, frozen=True):
    """A layer as it is seen: the cue that brings its look (empty: none), and the layer's key in it; for a
    further place of it the surface."""

    item: str
    cue: str
    look: str
    key: str
    surface: str | None = None


def set_layer(show: Show, place: LayerPlace, change: LookChange | None, fields: Mapping[str, Any]) -> Change:
    """Give a layer's fields new values: in the look, or here only where the cue has it otherwise already.

    Raises:
        ChangeError: the layer is not there any more.
    """
    if place.surface is not None:
        return _set_place(show, place, change, fields)
    look = _look(show, place.look)
    n = _place(look, place.key)
    at = ("looks", place.look, "layers", n)
    k = None if change is None or not place.cue else overriding(change, look.layers[n].key)
    if change is None or k is None:
        return SetFields(at=at, fields=dict(fields))
    overrides = _dumped(change)
    overrides[k] |= {f: v for f, v in fields.items() if f in _OVERRIDABLE}
    rest = {f: v for f, v in fields.items() if f not in _OVERRIDABLE}
    here = _with_overrides(place, change, overrides)
    return Together(changes=(here, SetFields(at=at, fields=rest))) if rest else here


def _set_place(show: Show, place: LayerPlace, change: LookChange | None, fields: Mapping[str, Any]) -> Change:
    """The same for a further place: what is its own goes there, the rest to the layer."""
    look = _look(show, place.look)
    n = _place(look, place.key)
    own = {f: v for f, v in fields.items() if f in PLACE_FIELDS}
    rest = {f: v for f, v in fields.items() if f not in PLACE_FIELDS}
    made: list[Change] = []
    k = None
    if change is not None and place.cue:
        k = overriding(change, look.layers[n].key, place.surface)
    if own and change is not None and k is not None:
        overrides = _dumped(change)
        overrides[k] |= own
        made.append(_with_overrides(place, change, overrides))
    elif own:
        at: Path = ("looks", place.look, "layers", n, "also", _also(look.layers[n], place.surface))
        made.append(SetFields(at=at, fields=own))
    if rest:
        made.append(set_layer(show, replace(place, surface=None), change, rest))
    return made[0] if len(made) == 1 else Together(changes=tuple(made))


def _also(layer: Layer, surface: str | None) -> int:
    found = next((i for i, p in enumerate(layer.also) if p.surface == surface), None)
    if found is None:
        raise ChangeError("the layer is not on that surface any more")
    return found


def uses(show: Show, look_id: str) -> int:
    """In how many places of the show a cue brings the look."""
    return sum(cue.look is not None and cue.look.look == look_id for cue in show.all_cues())


def overriding(change: LookChange, name: str, surface: str | None = None) -> int | None:
    """The place of the override of a layer, or of its place on a surface; None if it is taken as it is."""
    found = (k for k, o in enumerate(change.overrides) if (o.layer, o.surface) == (name, surface))
    return next(found, None)


def here_only(show: Show, place: LayerPlace, change: LookChange, layer: Layer) -> tuple[Change, str]:
    """Let a layer be as it is now in this place only; where it is, be as the look has it again.

    Returns the change and what the layer goes by then: one of two of a name gets an id of its own.
    """
    look = _look(show, place.look)
    n = _place(look, place.key)
    name = look.layers[n].key
    overrides = _dumped(change)
    k = overriding(change, name, place.surface)
    if k is not None:
        del overrides[k]
        return _with_overrides(place, change, overrides), _seen_as(place, place.key)
    first: tuple[Change, ...] = ()
    if sum(x.key == name for x in look.layers) > 1:
        name = free_id(name, {x.key for x in look.layers})
        first = (SetFields(at=("looks", place.look, "layers", n), fields={"id": name}),)
    kept = ("left_m", "bottom_m", "width_m", "height_m", *(() if place.surface else ("opacity",)))
    where = {"layer": name} if place.surface is None else {"layer": name, "surface": place.surface}
    overrides.append({**where, **{f: getattr(layer, f) for f in kept}})
    made = Together(changes=(*first, _with_overrides(place, change, overrides)))
    return made, _seen_as(place, name)


def _seen_as(place: LayerPlace, name: str) -> str:
    return name if place.surface is None else place_key(name, place.surface)


def hide_here(place: LayerPlace, change: LookChange, name: str) -> Change:
    """Leave a layer, or its place on a surface, out in this place of the show only."""
    if place.surface is not None:
        gone = {"layer": name, "surface": place.surface, "hidden": True}
        kept = [o for o in _dumped(change) if (o["layer"], o.get("surface")) != (name, place.surface)]
        return _with_overrides(place, change, [*kept, gone])
    overrides = [o for o in _dumped(change) if o["layer"] != name]
    return _with_overrides(place, change, [*overrides, {"layer": name, "hidden": True}])


def _dumped(change: LookChange) -> list[dict[str, Any]]:
    return [o.model_dump(mode="json", exclude_defaults=True) for o in change.overrides]


def _with_overrides(place: LayerPlace, change: LookChange, overrides: list[dict[str, Any]]) -> Change:
    whole = change.model_dump(mode="json", exclude_defaults=True) | {"overrides": overrides}
    return SetFields(at=("items", place.item, "cues", place.cue), fields={"look": whole})


def add_layers(show: Show, look_id: str, wall: Wall, text: str) -> tuple[Change, str]:
    """New layers in front on a surface, as :mod:`look_line` reads them; and what the last goes by."""
    look = _look(show, look_id)
    parts = read_layers(show, wall, text, look.layers)
    at, first = ("looks", look_id, "layers"), len(look.layers)
    made = tuple(Put(at=at, index=first + n, part=part) for n, part in enumerate(parts))
    key = parts[-1].get("id") or parts[-1]["source"]
    return made[0] if len(made) == 1 else Together(changes=made), key


def add_here(show: Show, place: LayerPlace, change: LookChange, wall: Wall, text: str) -> tuple[Change, str]:
    """The same in this place of the show only: its cue brings a copy of the look with the new layers; and the
    copy's name."""
    look = _look(show, place.look)
    taken = {k.name.lower() for k in show.looks}
    names = (f"{look.name}, variation {n}" for n in range(2, len(taken) + 3))
    line = LookLine(next(name for name in names if name.lower() not in taken), "", None, {})
    made, ident = new_look(show, line, look)
    layers = read_layers(show, wall, text, look.layers)
    at: Path = ("looks", ident, "layers")
    more = (Put(at=at, index=len(look.layers) + n, part=part) for n, part in enumerate(layers))
    brings = set_change(place.item, place.cue, change.changed(look=ident))
    return Together(changes=(made, *more, brings)), line.name


def take_layer(show: Show, look_id: str, key: str, surface: str | None = None) -> Change:
    """Take a layer out of its look, or off a further surface."""
    look = _look(show, look_id)
    n = _place(look, key)
    if surface is None:
        return Take(at=("looks", look_id, "layers"), key=n)
    return Take(at=("looks", look_id, "layers", n, "also"), key=_also(look.layers[n], surface))


def set_surfaces(show: Show, place: LayerPlace, text: str) -> Change:
    """Let a layer lie on the surfaces that a text names, the first of them its own. Where it is it stays;
    where it was not it fills the surface, cut so that it is not distorted.

    Raises:
        ChangeError: one is not there, or none is named.
    """
    look = _look(show, place.look)
    n = _place(look, place.key)
    layer = look.layers[n]
    named = list(dict.fromkeys(_surface(show, w).id for w in text.split(",") if w.strip()))
    if not named:
        raise ChangeError("a layer is on one surface at least; to take it out of the look, remove it")
    first = first_id(show)
    source = next(s for s in show.sources if s.id == layer.source)
    at = {s: _lies(show, layer, source, s) for s in named}
    own = {**at[named[0]], "surface": None if named[0] == first else named[0]}
    also = [{"surface": s, **at[s]} for s in named[1:]]
    return SetFields(at=("looks", place.look, "layers", n), fields={**own, "also": also})


def _surface(show: Show, word: str) -> Wall:
    wanted = word.strip().lower()
    for fits in (lambda w: wanted in (w.name.lower(), w.id), lambda w: w.name.lower().startswith(wanted)):
        for wall in show.surfaces:
            if fits(wall):
                return wall
    have = ", ".join(w.name for w in show.surfaces)
    raise ChangeError(f"no surface is called '{word.strip()[:30]}'; there are {have}")


def _lies(show: Show, layer: Layer, source: Source, surface: str) -> dict[str, Any]:
    """A layer's place on a surface as a document has it."""
    there = placed_on(layer, layer.key, surface, first_id(show)) or filling(
        next(w for w in show.surfaces if w.id == surface), layer, source
    )
    return {f: there.model_dump(mode="json")[f] for f in PLACE_FIELDS}


def move_layer(show: Show, look_id: str, key: str, by: int) -> Change:
    """Bring a layer further to the front (1) or to the back (−1)."""
    look = _look(show, look_id)
    n = _place(look, key)
    return Move(at=("looks", look_id, "layers"), key=n, index=max(0, min(len(look.layers) - 1, n + by)))


def new_look(show: Show, line: LookLine, like: Look | None) -> tuple[Change, str]:
    """A look as it is typed, with the layers of another to begin with where none are listed; and its id.

    Raises:
        ChangeError: one is called so already.
    """
    name = line.name
    if any(k.name.lower() == name.lower() for k in show.looks):
        raise ChangeError(f"a look is called “{name}” already; type another name")
    ident = free_id(name, {k.id for k in show.looks})
    layers = line.layers
    if layers is None:
        kept = like.layers if like else ()
        layers = tuple(x.model_dump(mode="json", exclude_defaults=True) for x in kept)
    return Put(
        at=("looks",), index=len(show.looks), part={"id": ident, "name": name, "layers": list(layers)}
    ), ident


def test_look(show: Show, wall: Wall, name: str, media: str) -> Change:
    """A look of one layer over a whole surface, and its source, a test picture; both of this name."""
    source = free_id(name, {s.id for s in show.sources})
    part = {
        "id": source, "name": name, "kind": "generator", "media": media, "width_px": wall.width_px,
        "height_px": wall.height_px,
    }  # fmt: skip
    size = {"width_m": wall.width_m, "height_m": wall.height_m}
    layer = {"source": source, "left_m": 0, "bottom_m": 0, **size, "straight": True}
    if wall.id != first_id(show):
        layer["surface"] = wall.id
    look = {"id": free_id(name, {k.id for k in show.looks}), "name": name, "layers": [layer]}
    source_put = Put(at=("sources",), index=len(show.sources), part=part)
    return Together(changes=(source_put, Put(at=("looks",), index=len(show.looks), part=look)))


def set_change(item: str, cue: str, change: LookChange) -> Change:
    """Let a cue bring a look in this way."""
    return SetFields(
        at=("items", item, "cues", cue),
        fields={"look": change.model_dump(mode="json", exclude_defaults=True)},
    )


def _look(show: Show, look_id: str) -> Look:
    look = next((k for k in show.looks if k.id == look_id), None)
    if look is None:
        raise ChangeError(f"the look '{look_id}' is not in the show any more")
    return look


def _place(look: Look, key: str) -> int:
    keys = layer_keys(look)
    if key not in keys:
        raise ChangeError(f"there is no layer '{key}' in “{look.name}”")
    return keys.index(key)


def change_from_text(look: str, text: str) -> LookChange:
    """How a look comes, from words: ``cut``, ``mix over 8 beats``, ``move 4 slow end``.

    Raises:
        ChangeError: it begins with none of these, or the beats are out of range.
    """
    if not text.strip():
        raise ChangeError(f"type the transition: {HOW_HINT}")
    return LookChange.model_validate({"look": look, **parse_how(text, beats_needed=True)})
