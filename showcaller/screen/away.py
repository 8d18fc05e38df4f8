"""How far the wall is from the plan, in words: ``2 layers moved, Front cam at 60 %``. Pure."""

from collections.abc import Iterator, Mapping
from typing import Any

from showcaller.model import Layer, Look, SurfacePlace
from showcaller.screen.looks import layer_keys
from showcaller.screen.played import Played
from showcaller.screen.words import treatments_text

_PLACE = ("left_m", "bottom_m", "width_m", "height_m")


def away_words(
    planned: Look | None, shown: Look, now: Look, played: Played, sources: Mapping[str, str]
) -> str:
    """What is otherwise than planned; empty where nothing is.

    ``planned`` is what the plan has on the wall (None: nothing yet), ``shown`` the look as it came,
    ``now`` as it stands, ``played`` what a hand has set of it; ``sources`` are their names by id.
    """
    parts: list[str] = []
    if planned is None:
        parts.append(f"“{shown.name}” put up by hand")
    elif shown.id != planned.id:
        parts.append(f"“{shown.name}” instead of “{planned.name}”")
    like = planned if planned is not None and shown.id == planned.id else shown
    return ", ".join((*parts, *_layers(like, now, played, sources)))


def _layers(like: Look, now: Look, played: Played, sources: Mapping[str, str]) -> Iterator[str]:
    """Each layer that is otherwise than in ``like``; those that lie elsewhere are counted."""
    before = dict(zip(layer_keys(like), like.layers, strict=True))
    there = dict(zip(layer_keys(now), now.layers, strict=True))
    out = {key for key, fields in played.items() if fields.get("hidden")}
    moved = [k for k, x in there.items() if k in before and k not in out and _places(x) != _places(before[k])]
    if len(moved) == 1:
        yield f"{_name(before[moved[0]], sources)} moved"
    elif moved:
        yield f"{len(moved)} layers moved"
    for key, layer in there.items():
        if key not in before:
            yield f"{_name(layer, sources)} added"
        elif key in out:
            yield f"{_name(before[key], sources)} out"
        else:
            yield from _layer(before[key], layer, sources)
    for key, layer in before.items():
        if key not in there:
            yield f"{_name(layer, sources)} out"


def _layer(was: Layer, now: Layer, sources: Mapping[str, str]) -> Iterator[str]:
    name = _name(was, sources)
    if now.source != was.source:
        yield f"{_name(now, sources)} in place of {name}"
    if now.opacity != was.opacity:
        yield f"{name} at {now.opacity * 100:.3g} %"
    if now.crop != was.crop:
        yield f"{name} cropped" if now.crop != type(now.crop)() else f"{name} not cropped"
    if now.treatments != was.treatments:
        yield f"{name} {treatments_text(now.treatments) or 'without treatment'}"
    if now.flip != was.flip:
        yield f"{name} flipped {now.flip}" if now.flip != "none" else f"{name} not flipped"


def _place(layer: Layer | SurfacePlace) -> tuple[float, ...]:
    """To the millimetre: a hand is no finer."""
    return tuple(round(getattr(layer, field), 3) for field in _PLACE)


def _places(layer: Layer) -> tuple[Any, ...]:
    """Where it lies, and how it is cut beside its own surface."""
    return _place(layer), *((p.surface, _place(p), p.crop, p.flip) for p in layer.also)


def _name(layer: Layer, sources: Mapping[str, str]) -> str:
    return sources.get(layer.source, layer.source)
