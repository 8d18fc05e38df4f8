"""Edits of looks as changes of the show: layers, and how a cue brings a look. No Qt."""

import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from showcaller.editing import Change, ChangeError, Move, Put, SetFields, Take, Together
from showcaller.editing.forms.look_change import HOW_HINT, parse_how
from showcaller.editing.naming import free_id
from showcaller.model import Crop, Layer, Look, LookChange, LookSend, Show, Source
from showcaller.model.wall import Override
from showcaller.screen.geometry import natural_aspect
from showcaller.screen.looks import layer_keys
from showcaller.screen.words import WordsError, crop_from, crop_text, treatments_from, treatments_text

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
    """A new layer in front, in the middle of the wall, a third of its width; and what it goes by."""
    wall = show.wall
    if wall is None:
        raise ChangeError("this show has no wall")
    look = _look(show, look_id)
    width = wall.width_m / 3
    layer = Layer(source=source.id, left_m=0, bottom_m=0, width_m=width, height_m=1)
    height = min(wall.height_m, width / (natural_aspect(layer, source) or 16 / 9))
    keys = {x.key for x in look.layers}
    ident = None if source.id not in keys else free_id(source.id, keys)
    part: dict[str, Any] = {
        "source": source.id,
        "left_m": round((wall.width_m - width) / 2, 3),
        "bottom_m": round((wall.height_m - height) / 2, 3),
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
        raise ChangeError("a look needs a name")
    ident = free_id(name, {k.id for k in show.looks})
    layers = [x.model_dump(mode="json", exclude_defaults=True) for x in (like.layers if like else ())]
    return Put(
        at=("looks",), index=len(show.looks), part={"id": ident, "name": name, "layers": layers}
    ), ident


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


@dataclass(frozen=True, slots=True)
class LayerField:
    """A field of a layer as it is typed: its label, its text, what may be typed."""

    key: str
    label: str
    text: str
    hint: str


def _m(metres: float) -> str:
    """Two decimals, or a third where it matters."""
    text = f"{metres:.3f}"
    return text[:-1] if text.endswith("0") else text


def layer_fields(layer: Layer, source: Source) -> tuple[LayerField, ...]:
    """What the side of the wall area shows of a chosen layer."""
    aspect = natural_aspect(layer, source)
    keeps = aspect is not None and abs(layer.width_m / layer.height_m / aspect - 1) < 0.01
    shape = "" if aspect is None else " (undistorted)" if keeps else " (distorted)"
    arrives = layer.arrives
    if arrives != "with the look" or layer.arrives_after:
        arrives = f"{layer.arrives} over {layer.arrives_over:g} after {layer.arrives_after:g}"  # type: ignore[assignment]
    return (
        LayerField("size", "width × height", f"{_m(layer.width_m)} × {_m(layer.height_m)} m{shape}",
                   "metres: 8.5 x 5.1; or one number, and the picture keeps its shape"),
        LayerField("place", "left, bottom", f"{_m(layer.left_m)}, {_m(layer.bottom_m)} m",
                   "metres from the wall's lower left corner: 25.95, 2.42"),
        LayerField("crop", "crop", crop_text(layer.crop), "left 20 % right 10 % top 5 % bottom 0 %; or none"),
        LayerField("opacity", "opacity", f"{layer.opacity * 100:g} %", "0 to 100 %"),
        LayerField("treatments", "treatment", treatments_text(layer.treatments) or "none",
                   "tint #102A43 #FFB347, posterize 4, monochrome, contrast 1.5, blur 2 %, mirror 3 x 2, "
                   "luma key bright 25 %, colour key #00B140; or none"),
        LayerField("flip", "flip", layer.flip, "none, across, down or both"),
        LayerField("soft", "soft edge", f"{layer.soft_edge_m:g} m", "metres, 0 for a hard edge"),
        LayerField("straight", "straight", "yes" if layer.straight else "no",
                   "yes: passed straight to the inputs it fills, taking no channel"),
        LayerField("arrives", "arrives", arrives,
                   "with the look; or fade over 4 after 2, grow over 4 (beats)"),
    )  # fmt: skip


def layer_edit(layer: Layer, source: Source, key: str, text: str) -> dict[str, Any]:
    """The fields that a typed text means.

    Raises:
        ChangeError: it means nothing here; one sentence.
    """
    try:
        return _EDITS[key](layer, source, text.strip())
    except WordsError as error:
        raise ChangeError(str(error)) from None


def _numbers(text: str, what: str, count: tuple[int, ...]) -> list[float]:
    cleaned = text.replace("×", " ").replace("x", " ").replace("m", " ").replace("%", " ").split("(")[0]
    parts = cleaned.replace(", ", " ").replace(";", " ").split()
    try:
        found = [float(p.replace(",", ".")) for p in parts]
    except ValueError:
        found = []
    if len(found) not in count:
        raise ChangeError(f"{what}, not '{text}'")
    return found


def _size(layer: Layer, source: Source, text: str) -> dict[str, Any]:
    found = _numbers(text, "type the size in metres, such as 8.5 x 5.1", (1, 2))
    if len(found) == 1:
        aspect = natural_aspect(layer, source) or layer.width_m / layer.height_m
        found.append(round(found[0] / aspect, 3))
    return {"width_m": found[0], "height_m": found[1]}


def _at(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    left, bottom = _numbers(text, "type left and bottom in metres, such as 25.95, 2.42", (2,))
    return {"left_m": left, "bottom_m": bottom}


def _opacity(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    (percent,) = _numbers(text, "type 0 to 100 %", (1,))
    return {"opacity": percent / 100}


def _flip(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    return {"flip": text.lower()}


def _straight(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    if text.lower() not in ("yes", "no", "y", "n"):
        raise ChangeError(f"type yes or no, not '{text}'")
    return {"straight": text.lower().startswith("y")}


def _arrives(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    words = text.lower().split()
    if not words or words[0] not in ("with", "fade", "grow"):
        raise ChangeError(f"type: with the look; fade over 4; grow over 4 after 2; not '{text}'")
    fields: dict[str, Any] = {
        "arrives": "with the look" if words[0] == "with" else words[0],
        "arrives_after": 0.0, "arrives_over": 0.0,
    }  # fmt: skip
    for word, name in (("over", "arrives_over"), ("after", "arrives_after")):
        if word in words:
            at = words.index(word) + 1
            fields[name] = _numbers(" ".join(words[at : at + 1]), f"type the beats after '{word}'", (1,))[0]
    return fields


def _crop(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    crop: Crop = crop_from(text)
    return {"crop": crop.model_dump(mode="json")}


def _treatments(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    return {"treatments": [t.model_dump(mode="json") for t in treatments_from(text)]}


def _soft(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    (metres,) = _numbers(text, "type the soft edge in metres", (1,))
    return {"soft_edge_m": metres}


_EDITS = {
    "size": _size, "place": _at, "crop": _crop, "opacity": _opacity, "treatments": _treatments,
    "flip": _flip, "soft": _soft, "straight": _straight, "arrives": _arrives,
}  # fmt: skip


SEND_HINT = (
    "outlet, layer and input (or layer, or look), px (or unit): /{input}/{layer}/place {x} {y} {width:i} …   "
    "fields: look source input layer n x y width height crop_x crop_y crop_width crop_height opacity turn "
    "beats seconds by"
)


def send_text(send: LookSend) -> str:
    """A template as it is typed."""
    args = " ".join(_argument_text(a) for a in send.args)
    return f"{send.outlet}, {send.per}, {send.numbers}: {send.address} {args}".strip()


def _argument_text(argument: bool | float | str) -> str:
    if isinstance(argument, bool):
        return "true" if argument else "false"
    if isinstance(argument, str):
        return shlex.quote(argument) if not argument.startswith("{") or " " in argument else argument
    return str(argument)


def send_from(show: Show, text: str, ident: str | None) -> dict[str, Any]:
    """A template's fields from a typed line; ``ident`` keeps the one that is changed.

    Raises:
        ChangeError: something is missing.
    """
    head, colon, rest = text.partition(":")
    words = [w.strip() for w in head.split(",") if w.strip()]
    try:
        parts = shlex.split(rest)
    except ValueError:
        raise ChangeError("a quotation mark is not closed") from None
    if not colon or not words or not parts:
        raise ChangeError(f"type {SEND_HINT}")
    taken = {s.id for s in show.sends}
    name = ident or (words[0] if words[0] not in taken else free_id(words[0], taken))
    fields: dict[str, Any] = {"id": name, "outlet": words[0], "per": "layer and input", "numbers": "unit"}
    for word in words[1:]:
        fields["numbers" if word in ("px", "unit") else "per"] = word
    return {**fields, "address": parts[0], "args": [_argument(p) for p in parts[1:]]}


def _argument(text: str) -> bool | int | float | str:
    if text in ("true", "false"):
        return text == "true"
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text


def change_from_text(look: str, text: str) -> LookChange:
    """How a look comes, from words: ``cut``, ``mix over 8 beats``, ``move 4 slow end``.

    Raises:
        ChangeError: it begins with none of these, or the beats are out of range.
    """
    if not text.strip():
        raise ChangeError(f"type how it comes: {HOW_HINT}")
    return LookChange.model_validate({"look": look, **parse_how(text, beats_needed=True)})
