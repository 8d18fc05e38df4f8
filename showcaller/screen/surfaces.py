"""Looks as each surface has them, and which channels a surface takes. Pure.

All that is worked out for one wall is worked out for a surface by giving it the look as that surface alone
has it: the layers that lie there, each with its place and crop there. A layer goes by one name on its own
surface and by ``name@surface`` in a further place; no id has an ``@``.
"""

from collections.abc import Iterator
from typing import Any

from showcaller.model import Layer, Look, Show, SurfacePlace, Wall
from showcaller.model.base import kept_with_part
from showcaller.screen.looks import Looks, Standing, layer_keys
from showcaller.values import Struct, replace

AT = "@"
PLACE_FIELDS = ("left_m", "bottom_m", "width_m", "height_m", "crop", "straight", "flip")
"""What a layer has of its own in each place; all else is the whole layer's."""


def place_key(layer: str, surface: str) -> str:
    """What a layer's further place goes by."""
    return f"{layer}{AT}{surface}"


def split_key(key: str) -> tuple[str, str]:
    """(the layer, the surface of a further place; empty for the layer's own)."""
    layer, _, surface = key.partition(AT)
    return layer, surface


def first_id(show: Show) -> str:
    """The id of the surface on which a layer is that names none; empty without surfaces."""
    return show.surfaces[0].id if show.surfaces else ""


@kept_with_part
def _is_of_one(look: Look) -> bool:
    """Whether no layer names a surface: then all of the look is on the first one."""
    return all(layer.surface is None and not layer.also for layer in look.layers)


def look_on(look: Look, surface: str, first: str) -> Look:
    """The look as a surface has it; the very same where all of it is there."""
    if _is_of_one(look):
        return look if surface == first else _empty(look)
    return _kept(look)[surface, first]


@kept_with_part
def _empty(look: Look) -> Look:
    return look.model_copy(update={"layers": ()})


class _OnEach(dict[tuple[str, str], Look]):
    """A look's layers as each surface has them, made when first asked for."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._fields = {n: getattr(look, n) for n in ("id", "name")}
        self._layers = look.layers
        self._keys = layer_keys(look)

    def __missing__(self, key: tuple[str, str]) -> Look:
        layers = tuple(x for _, x in _there(self._keys, self._layers, *key))
        made = self[key] = Look.model_construct(**self._fields, layers=layers)
        return made


@kept_with_part
def _kept(look: Look) -> _OnEach:
    return _OnEach(look)


def _there(
    keys: tuple[str, ...], layers: tuple[Layer, ...], surface: str, first: str
) -> Iterator[tuple[int, Layer]]:
    for n, (key, layer) in enumerate(zip(keys, layers, strict=True)):
        found = placed_on(layer, key, surface, first)
        if found is not None:
            yield n, found


def placed_on(layer: Layer, key: str, surface: str, first: str) -> Layer | None:
    """A layer as it lies on a surface, going by its name there; None if it is not there. ``key`` is what it
    goes by in its look."""
    if (layer.surface or first) == surface:
        if not layer.also and layer.surface is None and layer.key == key:
            return layer
        # Where it lies elsewhere too makes no difference here: what is compared must be equal.
        return layer.model_copy(update={"id": key, "also": (), "surface": None})
    for place in layer.also:
        if place.surface == surface:
            fields: dict[str, Any] = {n: getattr(place, n) for n in PLACE_FIELDS}
            made = {"id": place_key(key, surface), "also": (), "surface": None, **fields}
            return layer.model_copy(update=made)
    return None


def layer_named(look: Look, key: str | None, first: str) -> Layer | None:
    """A layer of a look by what it goes by, as it lies on its own surface; by the key of a further place as
    it lies there; None if there is none."""
    name, surface = split_key(key or "")
    keys = layer_keys(look)
    if name not in keys:
        return None
    layer = look.layers[keys.index(name)]
    return placed_on(layer, name, surface, first) if surface else layer


def numbers_on(look: Look, surface: str, first: str) -> tuple[int, ...]:
    """The places from the back, from 0, that the layers of :func:`look_on` have in the whole look."""
    return tuple(n for n, _ in _there(layer_keys(look), look.layers, surface, first))


def surfaces_of(layer: Layer, first: str) -> tuple[str, ...]:
    """Ids of the surfaces a layer lies on, its own first."""
    return (layer.surface or first, *(place.surface for place in layer.also))


def place_of(layer: Layer, surface: str) -> SurfacePlace | None:
    """A layer's further place on a surface."""
    return next((p for p in layer.also if p.surface == surface), None)


def looks_on(looks: Looks, surface: str, first: str) -> Looks:
    """An item's looks as a surface has them; the very same where all of them are there."""
    found = tuple(_standing_on(s, surface, first) for s in looks.standing)
    if all(a is b for a, b in zip(found, looks.standing, strict=True)):
        return looks
    return replace(looks, standing=found)


def _standing_on(standing: Standing, surface: str, first: str) -> Standing:
    look = look_on(standing.look, surface, first)
    if look is standing.look:
        return standing
    there = numbers_on(standing.look, surface, first)
    return standing._replace(look=look, since_s=tuple(standing.since_s[n] for n in there))


class Pooled(Struct, frozen=True):
    """Channels, and the surfaces that take them. ``name`` is the pool's, or its only surface's."""

    id: str
    name: str
    channels: int
    surfaces: tuple[Wall, ...]


def pools_of(show: Show) -> tuple[Pooled, ...]:
    """All pools in the order in which their first surfaces stand; a surface without a pool has its own."""
    shared = {p.id: p for p in show.pools}
    made: dict[str, Pooled] = {}
    for wall in show.surfaces:
        key = f"pool {wall.pool}" if wall.pool is not None else f"own {wall.id}"
        if wall.pool is None:
            made[key] = Pooled(wall.id, wall.name, wall.channels, (wall,))
        elif key in made:
            made[key] = replace(made[key], surfaces=(*made[key].surfaces, wall))
        else:
            pool = shared[wall.pool]
            made[key] = Pooled(pool.id, pool.name, pool.channels, (wall,))
    return tuple(made.values())


def pool_of(show: Show, surface: str) -> Pooled:
    """The pool whose channels a surface takes."""
    return next(p for p in pools_of(show) if any(w.id == surface for w in p.surfaces))


def surface_named(show: Show, ident: str) -> Wall | None:
    """The surface with this id; None if there is none."""
    return next((s for s in show.surfaces if s.id == ident), None)
