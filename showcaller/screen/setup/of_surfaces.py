"""Surfaces put up and taken away again, and the pools of channels they share, as they are typed. Pure."""

import re
from collections.abc import Mapping
from typing import Any

from showcaller.editing import Change, ChangeError, Put, SetFields, Take, Together
from showcaller.editing.naming import free_id
from showcaller.model import ChannelPool, Layer, Look, LookChange, Override, Show, Wall
from showcaller.screen.looks import layer_keys
from showcaller.screen.measures import MeasureError, lengths
from showcaller.screen.setup.of_wall import PAIR, SIZE, SIZE_EXAMPLE, in_px, named
from showcaller.screen.surfaces import PLACE_FIELDS, first_id, placed_on

STANDS = ("left", "right", "above", "below")
OWN = "its own"
SURFACE_HINT = (
    "Side left: 6 x 8 m, 300 x 400 px; then, if you like: 2 inputs, 4 channels (or: from a pool), left, "
    "right, above or below"
)
POOL_HINT = "name: how many channels, such as Rack: 12; empty takes it out"


def pool_text(pool: ChannelPool) -> str:
    """``Rack: 12 channels``."""
    return f"{pool.name}: {pool.channels} channels"


def pool_from(text: str) -> dict[str, Any]:
    """The fields of a pool that was typed.

    Raises:
        ChangeError: it says no name, or no count.
    """
    name, rest = named("a pool", text, POOL_HINT)
    found = re.fullmatch(r"(\d+)\s*(?:channels?)?", rest)
    if found is None or int(found[1]) > 512:
        raise ChangeError(f"pool {name}: type 0 to 512 channels after the colon; not '{rest[:30]}'")
    return {"name": name, "channels": int(found[1])}


def pool_change(show: Show, ident: str, text: str) -> tuple[str, Change]:
    """What typing into a pool's line does; ``ident`` is empty for one more.

    Raises:
        ChangeError: it means nothing, or a surface needs the pool that is to go.
    """
    if not text.strip() and ident:
        users = [s.name for s in show.surfaces if s.pool == ident]
        if users:
            raise ChangeError(
                f"{', '.join(users)}: channels come from it; give them others first, in their line 'channels'"
            )
        called = next(p.name for p in show.pools if p.id == ident)
        return f"pool {called} taken out", Take(at=("pools",), key=ident)
    fields = pool_from(text)
    if any(p.name == fields["name"] and p.id != ident for p in show.pools):
        raise ChangeError(f"a pool is called {fields['name']} already; change its line, or type another name")
    if ident:
        return f"pool {fields['name']}", SetFields(at=("pools", ident), fields=fields)
    made = free_id(fields["name"], {p.id for p in show.pools})
    return f"new pool {fields['name']}", Put(
        at=("pools",), index=len(show.pools), part={"id": made, **fields}
    )


def stands_fields(text: str) -> dict[str, Any]:
    """Where a surface is drawn, as it was typed."""
    word = text.strip().lower()
    found = next((s for s in STANDS if word and s.startswith(word)), None)
    if found is None:
        raise ChangeError(f"is drawn: type {', '.join(STANDS[:3])} or below; not '{text.strip()[:20]}'")
    return {"stands": found}


def taken_from(show: Show, wall: Wall) -> str:
    """Whose channels a surface takes, in words."""
    return next((p.name for p in show.pools if p.id == wall.pool), OWN)


def from_fields(show: Show, wall: Wall, text: str) -> dict[str, Any]:
    """Whose channels a surface takes, as it was typed; its own are at first as many as it had."""
    word = text.strip().lower().removeprefix("from ")
    if word in (OWN, "own"):
        pool = next((p for p in show.pools if p.id == wall.pool), None)
        return {"pool": None, "channels": wall.channels if pool is None else pool.channels}
    return {"pool": _pool(show, word), "channels": 0}


def _pool(show: Show, word: str) -> str:
    for fits in (
        lambda p: word in (p.name.lower(), p.id),
        lambda p: word and p.name.lower().startswith(word),
    ):
        for pool in show.pools:
            if fits(pool):
                return pool.id
    have = ", or the pool ".join(p.name for p in show.pools)
    if not word:
        raise ChangeError(f"channels: type {OWN}" + (f", or the pool {have}" if have else ""))
    raise ChangeError(
        f"channels: no pool is called '{word[:20]}'; type {OWN}, or the pool {have}"
        if have
        else f"channels: no pool is called '{word[:20]}', there is none yet; make one under SURFACES"
    )


def new_surface(show: Show, text: str) -> tuple[str, Change]:
    """One more surface of equal inputs side by side.

    Raises:
        ChangeError: its name, size or pixels are missing, or something of it means nothing.
    """
    called, rest = named("one more", text, SURFACE_HINT)
    if any(s.name == called for s in show.surfaces):
        raise ChangeError(f"a surface is called {called} already; type another name before the colon")
    pixels = re.search(rf"(?:^|,|\s){PAIR}\s*px\b", rest)
    if pixels is None:
        raise ChangeError(
            f"{called}: its pixels are missing, width x height px, such as 300 x 400 px; not '{rest[:30]}'"
        )
    size = rest[: pixels.start()].strip(" ,")
    if not size:
        raise ChangeError(f"{called}: its size is missing before its pixels: 6 x 8 m")
    try:
        width_m, height_m = lengths(size, show.lengths, f"{called}, its size", SIZE, SIZE_EXAMPLE)
    except MeasureError as error:
        raise ChangeError(str(error)) from None
    wide, high = in_px(f"{called}, its pixels", int(pixels[1]), int(pixels[2]))
    said: dict[str, Any] = {"stands": _stands_by(called)}
    count = 1
    for part in (p.strip() for p in rest[pixels.end() :].split(",")):
        number = re.fullmatch(r"(\d+)\s*(inputs?|channels?)", part)
        if number is not None and number[2].startswith("input"):
            count = int(number[1])
        elif number is not None and int(number[1]) > 512:
            raise ChangeError(f"{called}: 0 to 512 channels; not {number[1]}")
        elif number is not None:
            said["channels"] = int(number[1])
        elif part.lower().startswith("from "):
            said |= {"pool": _pool(show, part[5:].strip().lower())}
        elif part:
            said |= _standing(called, part)
    if said.get("channels") and "pool" in said:
        raise ChangeError(
            f"{called}: it has {said['channels']} channels of its own, or takes them from a pool; type "
            "one of both"
        )
    if not 1 <= count <= min(26, wide):
        raise ChangeError(f"{called}: 1 to {min(26, wide)} inputs; not {count}")
    taken = {i.id for s in show.surfaces for i in s.inputs}
    edges = [round(n * wide / count) for n in range(count + 1)]
    inputs = []
    for n in range(count):
        one = called if count == 1 else f"{called} {chr(65 + n)}"
        ident = free_id(one, taken)
        taken.add(ident)
        across = {"x_px": edges[n], "width_px": edges[n + 1] - edges[n]}
        inputs.append({"id": ident, "name": one, "y_px": 0, "height_px": high, **across})
    side = max(1, high // 8)
    made: dict[str, Any] = {
        "id": free_id(called, {s.id for s in show.surfaces}), "name": called, "width_m": width_m,
        "height_m": height_m, "width_px": wide, "height_px": high, "panel_px": [side, side],
        "inputs": inputs, **said,
    }  # fmt: skip
    return f"new surface {called}", Put(at=("surfaces",), index=len(show.surfaces), part=made)


def _standing(called: str, part: str) -> dict[str, Any]:
    try:
        return stands_fields(part.lower().removeprefix("stands "))
    except ChangeError:
        raise ChangeError(
            f"{called}: after its pixels may stand 2 inputs, 4 channels, from a pool, left, right, above "
            "or below; "
            f"not '{part[:30]}'"
        ) from None


def _stands_by(name: str) -> str:
    """Where a surface of this name usually is."""
    word = name.lower()
    for words, where in ((("left",), "left"), (("banner", "header"), "above"), (("floor", "deck"), "below")):
        if any(w in word for w in words):
            return where
    return "right"


def without_surface(show: Show, wall: Wall) -> tuple[str, Change]:
    """A surface taken away, with what lies on it: of a layer that lies elsewhere too its place there alone.

    Raises:
        ChangeError: it is the first one, on which everything lies that names no other.
    """
    if wall.id == first_id(show):
        raise ChangeError(f"{wall.name} comes first and stays: rename it, resize it, take the others out")
    changes: list[Change] = []
    kept: dict[str, dict[str, str | None]] = {}
    gone = 0
    for look in show.looks:
        layers = [_without(show, look, n, wall) for n in range(len(look.layers))]
        both = zip(look.layers, layers, strict=True)
        kept[look.id] = {now.key: _moved_to(show, was, wall) for was, now in both if now is not None}
        if layers != list(look.layers):
            gone += sum(a != b for a, b in zip(layers, look.layers, strict=True))
            dumped = [x.model_dump(mode="json", exclude_defaults=True) for x in layers if x is not None]
            changes.append(SetFields(at=("looks", look.id), fields={"layers": dumped}))
    for item in show.items:
        for cue in item.cues:
            if cue.look is None:
                continue
            change = _kept(cue.look, wall, kept[cue.look.look])
            if change != cue.look:
                fields = {"look": change.model_dump(mode="json", exclude_defaults=True)}
                changes.append(SetFields(at=("items", item.id, "cues", cue.id), fields=fields))
    changes.append(Take(at=("surfaces",), key=wall.id))
    places = f", with {gone} place{'s' if gone > 1 else ''} of layers" if gone else ""
    return f"{wall.name} taken out{places}", Together(changes=tuple(changes))


def _without(show: Show, look: Look, n: int, wall: Wall) -> Layer | None:
    """A layer without its place on a surface; None if it has no other."""
    layer, first = look.layers[n], first_id(show)
    also = tuple(p for p in layer.also if p.surface != wall.id)
    if (layer.surface or first) != wall.id:
        return layer if len(also) == len(layer.also) else layer.model_copy(update={"also": also})
    if not also:
        return None
    there = placed_on(layer, layer_keys(look)[n], also[0].surface, first)
    assert there is not None
    surface = None if also[0].surface == first else also[0].surface
    return there.model_copy(update={"id": layer.id, "surface": surface, "also": also[1:]})


def _moved_to(show: Show, layer: Layer, wall: Wall) -> str | None:
    """The surface of the further place that becomes a layer's own; None where it keeps its own."""
    if (layer.surface or first_id(show)) != wall.id:
        return None
    return next((p.surface for p in layer.also if p.surface != wall.id), None)


def _kept(change: LookChange, wall: Wall, layers: Mapping[str, str | None]) -> LookChange:
    """How a cue brings the look then: what it has otherwise on the surface that goes is left out, and of a
    layer whose further place has become its own that is said of its own."""
    made: list[Override] = []
    for one in change.overrides:
        own = layers.get(one.layer)
        if one.layer not in layers or one.surface == wall.id:
            continue
        if own is not None and one.surface == own:
            made.append(one.model_copy(update={"surface": None}))
        elif own is not None and one.surface is None:
            rest = one.model_copy(update=dict.fromkeys(PLACE_FIELDS))
            made += [] if rest == Override(layer=one.layer) else [rest]
        else:
            made.append(one)
    return change if tuple(made) == change.overrides else change.model_copy(update={"overrides": tuple(made)})
