"""A look put into OSC messages by the show's templates. Pure; bytes are made by the engine."""

import re
from collections.abc import Iterable, Iterator, Mapping

from showcaller.model import Layer, Look, LookChange, LookSend, OscMessage, Show, Source, Wall
from showcaller.model.base import kept_with_part
from showcaller.screen.geometry import Rect, crop_rect, layer_rect, pieces, raster_px
from showcaller.screen.surfaces import look_on, placed_on
from showcaller.screen.words import treatments_text
from showcaller.values import Struct

_FIELD = re.compile(r"\{([a-z_]+)(:i)?\}")
Value = str | int | float
Only = tuple[str, int]
Target = tuple[str, str]
"""What a message is for: (surface, input; empty where it is of a whole layer)."""

_CROP = frozenset({"crop_x", "crop_y", "crop_width", "crop_height"})
_PLACE = frozenset({"x", "y", "width", "height"})
_NUMBERS = (*_PLACE, *_CROP, "opacity")
_TOLD_BY: Mapping[str, frozenset[str]] = {
    **dict.fromkeys(("left_m", "bottom_m", "width_m", "height_m"), _PLACE | _CROP),
    "source": frozenset({"source"}) | _CROP, "crop": _CROP, "opacity": frozenset({"opacity"}),
    "hidden": frozenset({"opacity"}) | _PLACE, "treatments": frozenset({"treatment"}),
    "flip": frozenset({"flip"}) | _CROP,
}  # fmt: skip
"""A layer's field → the fields of a template that tell it. (A layer that moves shows each input another part
of its source.)"""


class Sent(Struct, frozen=True):
    """A message and what it is about: the layer's place from the back (from 1; 0: the look), the input by
    name and by id, the surface by its id (empty: the look)."""

    send: LookSend
    layer: int
    input: str
    message: OscMessage
    input_id: str = ""
    surface: str = ""

    @property
    def target(self) -> Target:
        """What was told."""
        return self.surface, self.input_id


def messages_of(
    show: Show, look: Look, change: LookChange, seconds: float = 0.0, only: Only | None = None
) -> tuple[Sent, ...]:
    """Everything a change to ``look`` sends, in the order of the templates, then of the layers from the back.

    ``look`` has the change's overrides applied already; ``seconds`` is how long the change takes. ``only``
    leaves out the rest: (the template's id, the layer's place from the back, from 1).
    """
    if show.wall is None:
        return ()
    sources = {s.id: s for s in show.sources}
    found = []
    for send in show.sends:
        if only is not None and send.id != only[0]:
            continue
        of_change: Mapping[str, Value] = {
            "input": "", "surface": "", "look": look.id, "by": change.by, "beats": float(change.beats),
            "seconds": float(seconds),
        }  # fmt: skip
        for n, (layer, wall_input, values) in enumerate(_each(show, sources, look, send), 1):
            if only is not None and layer != only[1]:
                continue
            fields = {**of_change, **values, "n": n}
            where = str(fields["input"]), str(fields["surface"])
            found.append(Sent(send, layer, wall_input, _message(send, fields), *where))
    return tuple(found)


def gone(
    show: Show, look: Look, change: LookChange, only: Only, targets: Iterable[Target]
) -> tuple[Sent, ...]:
    """What tells ``targets`` that a layer has left them: its template, of no size and at opacity 0."""
    send = next(s for s in show.sends if s.id == only[0])
    fields: dict[str, Value] = {
        **dict.fromkeys(_NUMBERS, 0.0), "look": look.id, "by": change.by, "beats": 0.0, "seconds": 0.0,
        "n": only[1], "layer": only[1], "source": look.layers[only[1] - 1].source, "turn": 0,
        "treatment": "", "flip": "none",
    }  # fmt: skip
    names = {i.id: i.name for surface in show.surfaces for i in surface.inputs}
    made = []
    for surface, one in targets:
        message = _message(send, {**fields, "input": one, "surface": surface})
        made.append(Sent(send, only[1], names.get(one, ""), message, one, surface))
    return tuple(made)


def targets_of(show: Show, layer: Layer, send: LookSend) -> frozenset[Target]:
    """What a template tells of a layer as it lies."""
    source = next(s for s in show.sources if s.id == layer.source)
    return frozenset(
        (wall.id, one)
        for wall, there in _told_on(show, layer, send)
        for one in (("",) if send.per == "layer" else (p.input.id for p in pieces(wall, there, source)))
    )


def sends_of(show: Show, fields: Iterable[str]) -> tuple[str, ...]:
    """The templates, by id, by which a layer's new ``fields`` are told: those that have one of them."""
    asked = frozenset().union(*(_TOLD_BY.get(field, frozenset()) for field in fields))
    return tuple(
        send.id for send in show.sends if send.per not in ("look", "camera") and asked & _names(send)
    )


@kept_with_part
def _names(send: LookSend) -> frozenset[str]:
    texts = (send.address, *(a for a in send.args if isinstance(a, str)))
    return frozenset(m[0] for text in texts for m in _FIELD.findall(text))


def filled_message(send: LookSend, fields: Mapping[str, Value]) -> OscMessage:
    """A template with these values; what is not among them is left empty."""
    return _message(send, fields)


def _message(send: LookSend, fields: Mapping[str, Value]) -> OscMessage:
    args = tuple(_filled(a, fields) if isinstance(a, str) else a for a in send.args)
    address = str(_filled(send.address, fields, text=True))
    return OscMessage(kind="osc", outlet=send.outlet, address=address, args=args)


def untold(show: Show) -> tuple[str, ...]:
    """Names of surfaces that looks put something on and no template tells of, though there are templates."""
    telling = [s for s in show.sends if s.per in ("layer and input", "layer")]
    if not telling or any(s.per != "layer" or "surface" in _names(s) for s in telling):
        return ()
    return tuple(
        wall.name
        for wall in show.surfaces[1:]
        if any(look_on(look, wall.id, show.surfaces[0].id).layers for look in show.looks)
    )


def _told_on(show: Show, layer: Layer, send: LookSend) -> Iterator[tuple[Wall, Layer]]:
    """The surfaces of a layer that a template tells of, and the layer as it lies there."""
    every = send.per != "layer" or "surface" in _names(send)
    for wall in show.surfaces if every else show.surfaces[:1]:
        there = placed_on(layer, layer.key, wall.id, show.surfaces[0].id)
        if there is not None:
            yield wall, there


def _each(
    show: Show, sources: Mapping[str, Source], look: Look, send: LookSend
) -> Iterator[tuple[int, str, Mapping[str, Value]]]:
    """(layer, input, its fields) for every message of one template."""
    if send.per == "camera":  # told when a tally changes, not with a look
        return
    if send.per == "look":
        yield 0, "", {}
        return
    unit = send.numbers == "unit"
    for n, whole in enumerate(look.layers, 1):
        source = sources[whole.source]
        for wall, layer in _told_on(show, whole, send):
            if send.per == "layer":
                size, crop = (wall.width_px, wall.height_px), crop_rect(layer, source)
                fields = _fields(n, layer, source, layer_rect(wall, layer), size, crop, unit)
                yield n, "", {**fields, "surface": wall.id}
                continue
            for piece in pieces(wall, layer, source):
                size = raster_px(piece.input)
                fields = _fields(n, layer, source, piece.in_raster, size, piece.crop, unit)
                told = {"input": piece.input.id, "surface": wall.id, "turn": piece.input.rotation}
                yield n, piece.input.name, {**fields, **told}


def _fields(
    n: int, layer: Layer, source: Source, rect: Rect, size: tuple[int, int], crop: Rect, unit: bool
) -> dict[str, Value]:
    if unit:
        rect = rect.scaled(1 / size[0], 1 / size[1])
        crop = crop.scaled(1 / source.width_px, 1 / source.height_px)
    return {
        "layer": n, "source": source.id, "opacity": float(layer.opacity), "input": "", "turn": 0,
        "x": rect.x, "y": rect.y, "width": rect.width, "height": rect.height,
        "treatment": treatments_text(layer.treatments), "flip": layer.flip,
        "crop_x": crop.x, "crop_y": crop.y, "crop_width": crop.width, "crop_height": crop.height,
    }  # fmt: skip


def _filled(template: str, fields: Mapping[str, Value], text: bool = False) -> Value:
    alone = _FIELD.fullmatch(template)
    if alone is not None and not text:
        return _value(fields, alone)
    return _FIELD.sub(lambda m: _written(_value(fields, m)), template)


def _value(fields: Mapping[str, Value], match: re.Match[str]) -> Value:
    value = fields.get(match[1], "")
    return round(value) if match[2] and isinstance(value, float) else value


def _written(value: Value) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)
