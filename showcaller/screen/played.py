"""A look with what a hand has changed of it while it stands: which fields of which layer, to what. Pure.

A value played is kept as the log has it (plain JSON). A layer that is taken out by hand lies there at opacity
0: its place among the layers, and so its number in the messages, stays its own.
"""

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from showcaller.model import Layer, Look, SurfacePlace
from showcaller.model.wall import Override
from showcaller.screen.looks import layer_keys
from showcaller.screen.surfaces import place_key, split_key

Fields = Mapping[str, Any]
Played = Mapping[str, Fields]
"""What a layer goes by in the look that stands, or its further place on a surface (``layer@surface``) → its
fields that a hand has set, each with its value."""

PLAYABLE: Mapping[str, str] = {
    "source": "the id of a source",
    "left_m": "metres from the wall's left edge, -1000 to 1000",
    "bottom_m": "metres from the wall's lower edge, -1000 to 1000",
    "width_m": "more than 0 and up to 1000 m",
    "height_m": "more than 0 and up to 1000 m",
    "crop": "left, right, top and bottom, each 0 and less than 1",
    "opacity": "0 to 1 (100 %)",
    "treatments": "a list of treatments",
    "flip": "none, across, down or both",
    "hidden": "true or false",
}
"""What can be played of a layer, and what its value must be."""

PLAYABLE_THERE = ("left_m", "bottom_m", "width_m", "height_m", "crop", "flip", "hidden")
"""What can be played of a further place: all else is the whole layer's."""

_FARTHEST_M = 1000.0


class PlayedError(ValueError):
    """What cannot be played; one sentence that names the field, the value and what would do."""


def checked(layer: str, fields: Fields) -> dict[str, Any]:
    """The fields as they are kept: known ones, in range, fractions of a tenth of a millimetre gone.

    Raises:
        PlayedError: one is not among ``PLAYABLE``, or its value will not do.
    """
    if not fields:
        raise PlayedError(f"layer '{layer[:20]}' is given no field; give it one, such as opacity")
    unknown = [name for name in fields if name not in PLAYABLE]
    if unknown:
        raise PlayedError(f"a layer has no '{unknown[0][:20]}'; it has {', '.join(PLAYABLE)}")
    name, surface = split_key(layer)
    whole = [field for field in fields if surface and field not in PLAYABLE_THERE]
    if whole:
        raise PlayedError(
            f"{whole[0]} is the whole layer's, not its place's on '{surface[:20]}'; play it on '{name[:20]}'"
        )
    none = [name for name, value in fields.items() if value is None]
    try:
        made = Override.model_validate({"layer": "any", **fields})
    except ValidationError as error:
        name = str(error.errors()[0]["loc"][0])
        raise PlayedError(_wrong(name, fields[name])) from None
    far = [n for n in ("left_m", "bottom_m") if abs(getattr(made, n) or 0.0) > _FARTHEST_M]
    if none or far:
        name = (none or far)[0]
        raise PlayedError(_wrong(name, fields[name]))
    kept = made.model_dump(mode="json", include=set(fields))
    return {n: _short(kept[n]) for n in PLAYABLE if n in fields}


def of_each(layer: str, fields: Fields) -> tuple[tuple[str, Fields], ...]:
    """Fields given to a further place of a layer: those that are its own, and the whole layer's to that."""
    name, surface = split_key(layer)
    if not surface:
        return ((layer, fields),)
    own = {n: v for n, v in fields.items() if n in PLAYABLE_THERE}
    rest = {n: v for n, v in fields.items() if n not in PLAYABLE_THERE}
    return tuple((key, given) for key, given in ((layer, own), (name, rest)) if given)


def _wrong(name: str, value: object) -> str:
    return f"{name} is {PLAYABLE[name]}; not {str(value)[:30]!r}"


def _short(value: Any) -> Any:
    return round(value, 4) if isinstance(value, float) else value


def with_played(look: Look, played: Played) -> Look:
    """The look as it stands with what was played; every layer goes by what it went by."""
    if not played:
        return look
    keys = layer_keys(look)
    there: dict[str, dict[str, Fields]] = {}
    for key, fields in played.items():
        name, surface = split_key(key)
        if surface:
            there.setdefault(name, {})[surface] = fields
    layers = tuple(
        _layer(key, _with_places(layer, there.get(key)), played.get(key))
        for key, layer in zip(keys, look.layers, strict=True)
    )
    return look.model_copy(update={"layers": layers})


def _with_places(layer: Layer, there: Mapping[str, Fields] | None) -> Layer:
    """A layer with what a hand has set of its further places. One that is taken out has no width: it shows
    nothing and keeps its place in the list."""
    if there is None:
        return layer
    also = tuple(_there(place, there.get(place.surface, {})) for place in layer.also)
    return layer.model_copy(update={"also": also})


def _there(place: SurfacePlace, fields: Fields) -> SurfacePlace:
    made: SurfacePlace = place.changed(**{n: v for n, v in fields.items() if n != "hidden"})
    return made.model_copy(update={"width_m": 0.0}) if fields.get("hidden") else made


def _layer(key: str, layer: Layer, fields: Fields | None) -> Layer:
    if fields is None:
        return layer
    override = Override.model_validate({"layer": "any", **fields})
    given = {name: getattr(override, name) for name in fields if name != "hidden"}
    if "source" in given and not layer.id:
        given["id"] = key  # it goes by its source no longer
    if override.hidden:
        given["opacity"] = 0.0
    return layer.model_copy(update=given)


def merged(played: Played, layer: str, fields: Fields) -> Played:
    """What is played with one change more."""
    return {**played, layer: {**played.get(layer, {}), **fields}}


def overrides_of(look: Look, played: Mapping[str, Any]) -> tuple[Override, ...]:
    """What is played of a look, as a cue has it that brings the look otherwise in one place.

    Raises:
        PlayedError: a layer or a value that will not do; or a layer that shares its name with another one, so
            that no cue can mean it alone.
    """
    names = [layer.key for layer in look.layers]
    found = []
    on = {
        key: {p.surface for p in layer.also} for key, layer in zip(layer_keys(look), look.layers, strict=True)
    }
    for key, fields in played.items():
        layer, surface = split_key(key)
        name = layer.partition("#")[0]
        if names.count(name) > 1:
            raise PlayedError(
                f"“{look.name}” has {names.count(name)} layers called '{name[:20]}': give one its own "
                "source or name on the plan first"
            )
        if layer not in names or not isinstance(fields, Mapping):
            have = ", ".join(layer_keys(look)) or "none"
            raise PlayedError(f"“{look.name}” has no layer '{layer[:20]}'; it has {have[:60]}")
        if surface and surface not in on[layer]:
            raise PlayedError(f"layer '{layer[:20]}' of “{look.name}” is not on '{surface[:20]}'")
        kept = checked(key, fields) if fields else {}
        if kept and kept != {"hidden": False}:
            where = {"surface": surface} if surface else {}
            found.append(Override.model_validate({"layer": layer, **where, **kept}))
    return tuple(found)


def played_of(overrides: tuple[Override, ...]) -> Played:
    """The same the other way round."""
    return {
        o.layer if o.surface is None else place_key(o.layer, o.surface): {
            n: v
            for n, v in o.model_dump(mode="json", exclude_defaults=True).items()
            if n in PLAYABLE
        }
        for o in overrides
    }  # fmt: skip
