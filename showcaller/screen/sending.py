"""A look put into OSC messages by the show's templates. Pure; bytes are made by the engine."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from showcaller.model import Layer, Look, LookChange, LookSend, OscMessage, Show, Source, Wall
from showcaller.screen.geometry import Rect, crop_rect, layer_rect, pieces, raster_px

_FIELD = re.compile(r"\{([a-z_]+)(:i)?\}")
Value = str | int | float


@dataclass(frozen=True, slots=True)
class Sent:
    """A message and what it is about: the layer's place from the back (from 1; 0: the look), the input."""

    send: LookSend
    layer: int
    input: str
    message: OscMessage


def messages_of(show: Show, look: Look, change: LookChange, seconds: float = 0.0) -> tuple[Sent, ...]:
    """Everything a change to ``look`` sends, in the order of the templates, then of the layers from the back.

    ``look`` has the change's overrides applied already; ``seconds`` is how long the change takes.
    """
    if show.wall is None:
        return ()
    sources = {s.id: s for s in show.sources}
    found = []
    for send in show.sends:
        of_change: Mapping[str, Value] = {
            "look": look.id, "by": change.by, "beats": float(change.beats), "seconds": float(seconds),
        }  # fmt: skip
        for n, (layer, wall_input, values) in enumerate(_each(show.wall, sources, look, send), 1):
            fields = {**of_change, **values, "n": n}
            args = tuple(_filled(a, fields) if isinstance(a, str) else a for a in send.args)
            address = str(_filled(send.address, fields, text=True))
            message = OscMessage(kind="osc", outlet=send.outlet, address=address, args=args)
            found.append(Sent(send, layer, wall_input, message))
    return tuple(found)


def _each(
    wall: Wall, sources: Mapping[str, Source], look: Look, send: LookSend
) -> Iterator[tuple[int, str, Mapping[str, Value]]]:
    """(layer, input, its fields) for every message of one template."""
    if send.per == "look":
        yield 0, "", {}
        return
    unit = send.numbers == "unit"
    for n, layer in enumerate(look.layers, 1):
        source = sources[layer.source]
        if send.per == "layer":
            size = wall.width_px, wall.height_px
            yield (
                n,
                "",
                _fields(n, layer, source, layer_rect(wall, layer), size, crop_rect(layer, source), unit),
            )
            continue
        for piece in pieces(wall, layer, source):
            size = raster_px(piece.input)
            fields = _fields(n, layer, source, piece.in_raster, size, piece.crop, unit)
            yield n, piece.input.name, {**fields, "input": piece.input.id, "turn": piece.input.rotation}


def _fields(
    n: int, layer: Layer, source: Source, rect: Rect, size: tuple[int, int], crop: Rect, unit: bool
) -> dict[str, Value]:
    if unit:
        rect = rect.scaled(1 / size[0], 1 / size[1])
        crop = crop.scaled(1 / source.width_px, 1 / source.height_px)
    return {
        "layer": n, "source": source.id, "opacity": float(layer.opacity), "input": "", "turn": 0,
        "x": rect.x, "y": rect.y, "width": rect.width, "height": rect.height,
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
