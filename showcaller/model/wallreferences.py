"""References of the surfaces' parts that must hold: inputs, pools, layers, overrides, what is sent."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from showcaller.model.outlets import MidiOutlet
from showcaller.model.sending import TEMPLATE_FIELDS

if TYPE_CHECKING:
    from showcaller.model.show import Show
    from showcaller.model.wall import Layer, LookChange

Finding = tuple[str, str]
Missing = Callable[[str, str, Iterable[str]], Iterator[Finding]]

_FIELD = re.compile(r"\{([^{}]*)\}")


def surface_errors(show: Show) -> Iterator[Finding]:
    """Inputs named twice, of one surface or of two: what is sent to them tells them apart by their names;
    pools that are not there."""
    seen: dict[str, str] = {}
    pools = [p.id for p in show.pools]
    for i, surface in enumerate(show.surfaces):
        for j, one in enumerate(surface.inputs):
            at = f"surfaces[{i}].inputs[{j}]"
            if one.id in seen:
                yield f"{at}.id", f"'{one.id}' is used already by {seen[one.id]}; give another"
            seen.setdefault(one.id, at)
        if surface.pool is None:
            continue
        if surface.pool not in pools:
            have = ", ".join(pools) or "none"
            yield f"surfaces[{i}].pool", f"no pool '{surface.pool}' in this show; it has {have}"
        if surface.channels:
            own = f"{surface.name} has {surface.channels} channels of its own and a pool too"
            yield f"surfaces[{i}].channels", f"{own}; leave one of them out"


def surfaces_of(layer: Layer, first: str) -> list[str]:
    """Ids of the surfaces a layer is on, its own first; ``first`` is that of the show's first surface."""
    return [layer.surface or first, *(place.surface for place in layer.also)]


def wall_errors(show: Show, missing: Missing) -> Iterator[Finding]:
    """What is wrong with layers' ids and places, and with the templates of what is sent."""
    first = show.surfaces[0].id if show.surfaces else ""
    for i, look in enumerate(show.looks):
        seen: dict[str, int] = {}
        for j, layer in enumerate(look.layers):
            if layer.surface is not None or layer.also:
                yield from _places(f"looks[{i}].layers[{j}]", layer, first, missing)
            if layer.id is not None and layer.id in seen:
                at = f"looks[{i}].layers[{j}].id"
                yield at, f"'{layer.id}' is used already by layers[{seen[layer.id]}]; give another"
            if layer.id is not None:
                seen.setdefault(layer.id, j)
    kinds = {s.id: s.kind for s in show.sources}
    for i, item in enumerate(show.items):
        for j, shot in enumerate(getattr(item, "shots", ())):
            at = f"items[{i}].shots[{j}].camera"
            yield from missing(at, "source", [shot.camera])
            if kinds.get(shot.camera, "camera") != "camera":
                yield at, f"'{shot.camera}' is a {kinds[shot.camera]}, no camera; name a camera"
    outlets = {o.id: o for o in show.outlets}
    for i, send in enumerate(show.sends):
        yield from missing(f"sends[{i}].outlet", "outlet", [send.outlet])
        outlet = outlets.get(send.outlet)
        if isinstance(outlet, MidiOutlet):
            yield f"sends[{i}].outlet", f"'{outlet.id}' is midi, which cannot carry osc; name another outlet"
        yield from _fields(f"sends[{i}].address", send.address)
        for j, arg in enumerate(send.args):
            if isinstance(arg, str):
                yield from _fields(f"sends[{i}].args[{j}]", arg)


def _places(path: str, layer: Layer, first: str, missing: Missing) -> Iterator[Finding]:
    if layer.surface is not None:
        yield from missing(f"{path}.surface", "surface", [layer.surface])
    on = surfaces_of(layer, first)
    for n, place in enumerate(layer.also):
        at = f"{path}.also[{n}].surface"
        yield from missing(at, "surface", [place.surface])
        if place.surface in on[: n + 1]:
            yield at, f"the layer is on '{place.surface}' already; a layer has one place on a surface"


def _fields(path: str, text: str) -> Iterator[Finding]:
    for name in _FIELD.findall(text):
        if name.removesuffix(":i") not in TEMPLATE_FIELDS:
            yield path, f"nothing is called '{name}'; there are {', '.join(TEMPLATE_FIELDS)}"
    if "{" in _FIELD.sub("", text) or "}" in _FIELD.sub("", text):
        yield path, f"'{text}' has a brace without its other half; close it or leave it out"


def override_errors(
    path: str, change: LookChange, looks: Mapping[str, Any], missing: Missing
) -> Iterator[Finding]:
    """Overrides of layers that the look does not have, of surfaces that the layer is not on, and of sources
    that the show does not have."""
    look = looks.get(change.look)
    keys = {layer.key for layer in look.layers} if look is not None else set()
    for i, override in enumerate(change.overrides):
        if look is not None and override.layer not in keys:
            have = ", ".join(sorted(keys)) or "none"
            yield f"{path}.overrides[{i}].layer", f"no layer '{override.layer}' in this look; it has {have}"
        elif look is not None and override.surface is not None:
            on = {place.surface for x in look.layers if x.key == override.layer for place in x.also}
            if override.surface not in on:
                where = ", ".join(sorted(on)) or "none"
                sentence = f"'{override.layer}' has no further place on '{override.surface}'; it has {where}"
                yield f"{path}.overrides[{i}].surface", f"{sentence}; leave surface out for its own"
        if override.source is not None:
            yield from missing(f"{path}.overrides[{i}].source", "source", [override.source])


def wall_holds(show: Show, overriding: Iterable[LookChange]) -> bool:
    """Whether nothing is wrong with the wall's parts and these changes of look; for after every edit."""
    ids = {
        "outlet": {o.id for o in show.outlets},
        "source": {s.id for s in show.sources},
        "surface": {s.id for s in show.surfaces},
    }
    looks = {k.id: k for k in show.looks}

    def missing(path: str, what: str, names: Iterable[str]) -> Iterator[Finding]:
        return ((path, what) for name in names if name not in ids[what])

    return (
        len({s.id for s in show.sends}) == len(show.sends)
        and len(ids["surface"]) == len(show.surfaces)
        and len({p.id for p in show.pools}) == len(show.pools)
        and not any(surface_errors(show))
        and not any(wall_errors(show, missing))
        and not any(f for change in overriding for f in override_errors("", change, looks, missing))
    )
