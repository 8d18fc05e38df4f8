"""What the layers of a look take: a processing channel for each input a layer is put into.

A source passed straight and full to an input takes none; passing it on needs no processing. While it is
mixed, faded or grown it does (``straight.py``).
"""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from showcaller.model import Crop, Layer, Source, Wall, WallInput
from showcaller.screen.geometry import (
    LIGHTS_NONE_PX,
    Grid,
    grid_of,
    input_rect,
    layer_rect,
    pieces,
    raster_px,
    touched,
)

NONE_KNOWN: Mapping[str, Source] = MappingProxyType({})


def channels(wall: Wall, layer: Layer, source: Source | None = None) -> int:
    """Processing channels a layer takes; where its ``source`` is not known, its pixels are taken to match."""
    return len(taking(wall, layer, source))


def taking(wall: Wall, layer: Layer, source: Source | None = None) -> tuple[str, ...]:
    """Ids of the inputs in which a layer takes a channel."""
    return taking_of(wall, grid_of(wall), layer, source)


def taking_of(wall: Wall, grid: Grid, layer: Layer, source: Source | None = None) -> tuple[str, ...]:
    """The same, the grid of the wall being known."""
    if layer.opacity == 0:
        return ()  # taken out, by hand or in this place: nothing of it is seen
    lit = grid.lit(layer)
    if not layer.straight or processed(layer) or (source is not None and unmatched(wall, layer, source)):
        return lit
    return tuple(i.id for i in wall.inputs if i.id in lit and not fills(wall, layer, i))


def unmatched(wall: Wall, layer: Layer, source: Source) -> str:
    """Why a source's pixels are not those of the inputs that its layer fills; empty if they are.

    Passed straight, a source's pixel must be the input's: nothing scales it on the way.
    """
    for piece in pieces(wall, layer, source):
        if fills(wall, layer, piece.input):
            wide, high = round(piece.crop.width), round(piece.crop.height)
            across, down = raster_px(piece.input)
            if piece.input.rotation in (90, 270):
                across, down = down, across
            if (wide, high) != (across, down):
                return f"it gives {piece.input.name} {wide} × {high} px, which takes {across} × {down}"
    return ""


def passed(wall: Wall, layer: Layer, source: Source | None = None) -> tuple[str, ...]:
    """Ids of the inputs a layer is passed to straight, so that at rest it takes no channel there."""
    if layer.opacity == 0:
        return ()
    taken = taking(wall, layer, source)
    return tuple(i.id for i, _ in touched(wall, layer) if i.id not in taken) if layer.straight else ()


def fills(wall: Wall, layer: Layer, wall_input: WallInput) -> bool:
    """Whether a layer covers all of an input's part of the wall."""
    return input_rect(wall_input).within(layer_rect(wall, layer), LIGHTS_NONE_PX)


def processed(layer: Layer) -> str:
    """Why a layer cannot be passed straight whatever it covers; empty if it can."""
    if layer.treatments:
        return f"it has a treatment ({layer.treatments[0].kind})"
    if layer.opacity < 1:
        return "it is not at full opacity"
    if layer.flip != "none":
        return "it is flipped"
    if layer.crop != Crop():
        return "it is cropped"
    return "it has a soft edge" if layer.soft_edge_m > 0 else ""


def straight_trouble(wall: Wall, layer: Layer, source: Source | None = None) -> str:
    """Why a layer said to be passed straight takes channels all the same; empty if it takes none."""
    if not layer.straight or layer.opacity == 0:
        return ""
    why = processed(layer) or ("" if source is None else unmatched(wall, layer, source))
    if why:
        return f"not direct: {why}"
    partly = [i.name for i, _ in touched(wall, layer) if not fills(wall, layer, i)]
    return f"not direct: it covers only a part of {names(partly)}" if partly else ""


def could_be_straight(wall: Wall, layer: Layer, source: Source | None = None) -> tuple[str, ...]:
    """Names of the inputs that a processed layer could be passed to straight: it fills each it touches."""
    inputs = [i for i, _ in touched(wall, layer)]
    if layer.straight or processed(layer) or not inputs or (source and unmatched(wall, layer, source)):
        return ()
    return tuple(i.name for i in inputs) if all(fills(wall, layer, i) for i in inputs) else ()


def names(words: Iterable[str]) -> str:
    """``A, B and C``."""
    listed = list(words)
    return listed[0] if len(listed) == 1 else f"{', '.join(listed[:-1])} and {listed[-1]}" if listed else ""
