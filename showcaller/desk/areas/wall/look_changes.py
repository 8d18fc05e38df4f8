"""Edits of looks as changes of the show: layers, and how a cue brings a look. No Qt."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from showcaller.editing import Change, ChangeError, Move, Put, SetFields, Take, Together
from showcaller.editing.forms.look_change import HOW_HINT, parse_how
from showcaller.editing.naming import free_id
from showcaller.model import Layer, Look, LookChange, Show, Source, Wall
from showcaller.model.wall import Override
from showcaller.screen.geometry import natural_aspect
from showcaller.screen.looks import layer_keys

_OVERRIDABLE = frozenset(Override.model_fields) - {"layer", "hidden"}


@dataclass(frozen=True, slots=True)
class LayerPlace:
    """A layer as it is seen: the cue that brings its look (empty: none), and the layer's key in it."""

    item: str
    cue: str
    look: str
    key: str


def set_layer(show: Show, place: LayerPlace, change: LookChange | None, fields: Mapping[str, Any]) -> Change:
    """Give a layer's fields new values: in the look, or here only where the cue has it otherwise already.

    Raises:
        ChangeError: the layer is not there any more.
    """
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


def uses(show: Show, look_id: str) -> int:
    """In how many places of the show a cue brings the look."""
    return sum(cue.look is not None and cue.look.look == look_id for cue in show.all_cues())


def overriding(change: LookChange, name: str) -> int | None:
    """The place of the override of a layer; None if the look is taken as it is."""
    return next((k for k, o in enumerate(change.overrides) if o.layer == name), None)


def here_only(show: Show, place: LayerPlace, change: LookChange, layer: Layer) -> tuple[Change, str]:
    """Let a layer be as it is now in this place only; where it is, be as the look has it again.

    Returns the change and what the layer goes by then: one of two of a name gets an id of its own.
    """
    look = _look(show, place.look)
    n = _place(look, place.key)
    name = look.layers[n].key
    overrides = _dumped(change)
    k = overriding(change, name)
    if k is not None:
        del overrides[k]
        return _with_overrides(place, change, overrides), place.key
    first: tuple[Change, ...] = ()
    if sum(x.key == name for x in look.layers) > 1:
        name = free_id(name, {x.key for x in look.layers})
        first = (SetFields(at=("looks", place.look, "layers", n), fields={"id": name}),)
    now = {f: getattr(layer, f) for f in ("left_m", "bottom_m", "width_m", "height_m", "opacity")}
    overrides.append({"layer": name, **now})
    return Together(changes=(*first, _with_overrides(place, change, overrides))), name


def hide_here(place: LayerPlace, change: LookChange, name: str) -> Change:
    """Leave a layer out in this place only."""
    overrides = [o for o in _dumped(change) if o["layer"] != name]
    return _with_overrides(place, change, [*overrides, {"layer": name, "hidden": True}])


def _dumped(change: LookChange) -> list[dict[str, Any]]:
    return [o.model_dump(mode="json", exclude_defaults=True) for o in change.overrides]


def _with_overrides(place: LayerPlace, change: LookChange, overrides: list[dict[str, Any]]) -> Change:
    whole = change.model_dump(mode="json", exclude_defaults=True) | {"overrides": overrides}
    return SetFields(at=("items", place.item, "cues", place.cue), fields={"look": whole})


def add_layer(show: Show, look_id: str, source: Source) -> tuple[Change, str]:
    """A new layer in front, about the middle of the wall, a third of its width; and what it goes by."""
    wall = show.wall
    if wall is None:
        raise ChangeError("this show has no wall")
    look = _look(show, look_id)
    width = wall.width_m / 3
    layer = Layer(source=source.id, left_m=0, bottom_m=0, width_m=width, height_m=1)
    height = min(wall.height_m, width / (natural_aspect(layer, source) or 16 / 9))
    keys = {x.key for x in look.layers}
    # Beside the one that was put there last, so that both can be seen and taken hold of.
    there = sum(abs(x.width_m - width) < 0.01 for x in look.layers)
    aside = there % 5 * wall.width_m * 0.03
    ident = None if source.id not in keys else free_id(source.id, keys)
    part: dict[str, Any] = {
        "source": source.id,
        "left_m": round((wall.width_m - width) / 2 + aside, 3),
        "bottom_m": round((wall.height_m - height) / 2 - aside / 2, 3),
        "width_m": round(width, 3),
        "height_m": round(height, 3),
    }
    if ident is not None:
        part["id"] = ident
    return Put(at=("looks", look_id, "layers"), index=len(look.layers), part=part), ident or source.id


def take_layer(show: Show, look_id: str, key: str) -> Change:
    """Take a layer out of its look."""
    return Take(at=("looks", look_id, "layers"), key=_place(_look(show, look_id), key))


def move_layer(show: Show, look_id: str, key: str, by: int) -> Change:
    """Bring a layer further to the front (1) or to the back (−1)."""
    look = _look(show, look_id)
    n = _place(look, key)
    return Move(at=("looks", look_id, "layers"), key=n, index=max(0, min(len(look.layers) - 1, n + by)))


def new_look(show: Show, name: str, like: Look | None) -> tuple[Change, str]:
    """A look of this name, with the layers of another to begin with; and its id."""
    name = name.strip()
    if not name:
        raise ChangeError("a look needs a name: type one, or press Escape")
    ident = free_id(name, {k.id for k in show.looks})
    layers = [x.model_dump(mode="json", exclude_defaults=True) for x in (like.layers if like else ())]
    return Put(
        at=("looks",), index=len(show.looks), part={"id": ident, "name": name, "layers": layers}
    ), ident


def test_look(show: Show, wall: Wall, name: str, media: str) -> Change:
    """A look of one layer over the whole wall, and its source, a test picture; both of this name."""
    source = free_id(name, {s.id for s in show.sources})
    part = {
        "id": source, "name": name, "kind": "generator", "media": media, "width_px": wall.width_px,
        "height_px": wall.height_px,
    }  # fmt: skip
    size = {"width_m": wall.width_m, "height_m": wall.height_m}
    layer = {"source": source, "left_m": 0, "bottom_m": 0, **size, "straight": True}
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
