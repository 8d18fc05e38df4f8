"""When a source passed straight needs processing after all: while it is mixed, wiped, faded, grown or moved.

Passed straight, a source goes to its inputs as it is. Anything that is drawn half seen or at another size is
processed meanwhile, and takes a channel in each input for as long.
"""

from collections.abc import Iterator, Mapping

from showcaller.model import Layer, Source, Wall
from showcaller.screen.costs import NONE_KNOWN, passed
from showcaller.screen.looks import Looks, beats_s, layer_keys

Window = tuple[str, str, str, float, float]
"""(layer, source, input, start_s, end_s)"""


def processed_windows(
    wall: Wall, looks: Looks, sources: Mapping[str, Source] = NONE_KNOWN
) -> Iterator[Window]:
    """Every stretch in which a layer that is passed straight takes a channel of an input it fills."""
    before: Mapping[str, Layer] = {}
    leaving: dict[str, list[tuple[float, float]]] = {}
    for n, standing in enumerate(looks.standing):
        layers = dict(zip(layer_keys(standing.look), standing.look.layers, strict=True))
        straight = {key: layer for key, layer in layers.items() if layer.straight}
        busy: dict[str, list[tuple[float, float]]] = {key: [] for key in straight}
        change = (standing.at_s, standing.arrived_s)
        changing = n > 0 and standing.change.by != "cut" and change[1] > change[0]
        for key, layer in straight.items():
            if changing and not _stays(before.get(key), layer, standing.change.by):
                busy[key].append(change)
            if _on_its_own(layer):
                busy[key].append(_arrival(looks, layer, standing.at_s, standing.until_s))
        for key, stretches in leaving.items():
            if changing and not _stays(before[key], layers.get(key), standing.change.by):
                stretches.append(change)
        yield from _windows(wall, before, leaving, sources)
        before, leaving = layers, busy
    yield from _windows(wall, before, leaving, sources)


def _stays(old: Layer | None, new: Layer | None, by: str) -> bool:
    """Whether a layer is drawn as it is throughout a change of look.

    One that moves is counted where it crosses inputs, with those that are processed anyway. One that arrives
    on its own arrives anew in every look.
    """
    if old is None or new is None or _on_its_own(new) or new.arrives_after > 0:
        return False
    return old.source == new.source if by == "move" else old == new


def _on_its_own(layer: Layer) -> bool:
    return layer.arrives != "with the look" and layer.arrives_over > 0


def _arrival(looks: Looks, layer: Layer, at_s: float, until_s: float) -> tuple[float, float]:
    exact = looks.planned.item.length_s.from_float
    start_s = at_s + float(beats_s(looks.planned, exact(at_s), layer.arrives_after))
    end_s = start_s + float(beats_s(looks.planned, exact(start_s), layer.arrives_over))
    return start_s, min(end_s, until_s)


def _windows(
    wall: Wall,
    layers: Mapping[str, Layer],
    busy: Mapping[str, list[tuple[float, float]]],
    sources: Mapping[str, Source],
) -> Iterator[Window]:
    for key, stretches in busy.items():
        layer = layers[key]
        for start_s, end_s in _joined(stretches):
            for wall_input in passed(wall, layer, sources.get(layer.source)):
                yield key, layer.source, wall_input, start_s, end_s


def _joined(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches that overlap or touch made one."""
    found: list[tuple[float, float]] = []
    for start_s, end_s in sorted(s for s in stretches if s[1] > s[0]):
        if found and start_s <= found[-1][1]:
            found[-1] = (found[-1][0], max(end_s, found[-1][1]))
        else:
            found.append((start_s, end_s))
    return found
