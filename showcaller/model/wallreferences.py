"""References of the wall's parts that must hold: layers, overrides, what is sent."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from showcaller.model.outlets import MidiOutlet
from showcaller.model.sending import TEMPLATE_FIELDS

if TYPE_CHECKING:
    from showcaller.model.show import Show
    from showcaller.model.wall import LookChange

Finding = tuple[str, str]
Missing = Callable[[str, str, Iterable[str]], Iterator[Finding]]

_FIELD = re.compile(r"\{([^{}]*)\}")


def wall_errors(show: Show, missing: Missing) -> Iterator[Finding]:
    """What is wrong with layers' ids and with the templates of what is sent."""
    for i, look in enumerate(show.looks):
        seen: dict[str, int] = {}
        for j, layer in enumerate(look.layers):
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


def _fields(path: str, text: str) -> Iterator[Finding]:
    for name in _FIELD.findall(text):
        if name.removesuffix(":i") not in TEMPLATE_FIELDS:
            yield path, f"nothing is called '{name}'; there are {', '.join(TEMPLATE_FIELDS)}"
    if "{" in _FIELD.sub("", text) or "}" in _FIELD.sub("", text):
        yield path, f"'{text}' has a brace without its other half; close it or leave it out"


def override_errors(
    path: str, change: LookChange, looks: Mapping[str, Any], missing: Missing
) -> Iterator[Finding]:
    """Overrides of layers that the look does not have, and of sources that the show does not have."""
    look = looks.get(change.look)
    keys = {layer.key for layer in look.layers} if look is not None else set()
    for i, override in enumerate(change.overrides):
        if look is not None and override.layer not in keys:
            have = ", ".join(sorted(keys)) or "none"
            yield f"{path}.overrides[{i}].layer", f"no layer '{override.layer}' in this look; it has {have}"
        if override.source is not None:
            yield from missing(f"{path}.overrides[{i}].source", "source", [override.source])


def wall_holds(show: Show, overriding: Iterable[LookChange]) -> bool:
    """Whether nothing is wrong with the wall's parts and these changes of look; for after every edit."""
    outlets, sources = {o.id for o in show.outlets}, {s.id for s in show.sources}
    looks = {k.id: k for k in show.looks}

    def missing(path: str, what: str, names: Iterable[str]) -> Iterator[Finding]:
        known = outlets if what == "outlet" else sources
        return ((path, what) for name in names if name not in known)

    return (
        len({s.id for s in show.sends}) == len(show.sends)
        and not any(wall_errors(show, missing))
        and not any(found for change in overriding for found in override_errors("", change, looks, missing))
    )
