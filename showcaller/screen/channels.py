"""Processing channels over an item: who needs one when, which one each gets, when there are too few.

A layer in an input occupies a channel while it is seen. What stays on air keeps its channel: through a cut
the same source of the same layer, through a mix, move or wipe a layer that does not change at all. Anything
else that mixes, moves or wipes needs a channel for what goes and one for what comes.

Occupied times are intervals, and intervals coloured in the order of their beginnings, each with the lowest
free colour, take as many colours as the most that overlap (the clique number of an interval graph), so no
allocation does with fewer; see Kleinberg & Tardos, Algorithm Design, 4.1, "interval partitioning".
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from heapq import heappop, heappush
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

from showcaller.model import Layer, Look, Source, Wall
from showcaller.screen.costs import NONE_KNOWN, taking_of
from showcaller.screen.geometry import Grid, grid_of
from showcaller.screen.looks import Looks, beats_s, layer_keys
from showcaller.screen.straight import processed_windows
from showcaller.timing.plan import PlannedItem
from showcaller.values import Struct

Key = tuple[str, str, str]
"""(layer, source, input)."""


class Span(NamedTuple):
    """A layer in an input, on air from ``start_s`` until ``end_s`` (not included)."""

    layer: str
    source: str
    input: str
    start_s: float
    end_s: float


class Level(Struct, frozen=True):
    """So many channels are needed from ``start_s`` until ``end_s``."""

    start_s: float
    end_s: float
    count: int


def spans(wall: Wall, looks: Looks, sources: Mapping[str, Source] = NONE_KNOWN) -> tuple[Span, ...]:
    """Everything that occupies a channel, in the order in which it begins; ``sources`` by their ids."""
    grid = grid_of(wall)
    done: list[Span] = []
    on_air: dict[Key, tuple[float, float, Layer]] = {}
    for n, standing in enumerate(looks.standing):
        coming: dict[Key, tuple[float, float, Layer]] = {}
        cut = standing.change.by == "cut"
        for key, layer in zip(layer_keys(standing.look), standing.look.layers, strict=True):
            new = (standing.at_s + _after_s(looks.planned, layer, standing.at_s), standing.until_s, layer)
            for wall_input in taking_of(wall, grid, layer, sources.get(layer.source)):
                place = (key, layer.source, wall_input)
                before = on_air.get(place)
                if before is not None and (cut or before[2] is layer or before[2] == layer):
                    coming[place] = (before[0], standing.until_s, layer)
                    del on_air[place]
                else:
                    coming[place] = new
        done += [Span(*place, start, end) for place, (start, end, _) in on_air.items()]
        if standing.change.by == "move" and n > 0:
            previous = looks.standing[n - 1].look
            for place in _swept(grid, previous, standing.look):
                if place not in on_air and place not in coming:
                    done.append(Span(*place, standing.at_s, standing.arrived_s))
        on_air = coming
    done += [Span(*place, start, end) for place, (start, end, _) in on_air.items()]
    done += [Span(*window) for window in processed_windows(wall, looks, sources)]
    return tuple(sorted([s for s in done if s.end_s > s.start_s], key=_ORDER))


_ORDER = itemgetter(3, 4, 0, 2)
"""Spans by when they begin, then when they end, layer and input."""


def _after_s(planned: PlannedItem, layer: Layer, at_s: float) -> float:
    if layer.arrives_after == 0:
        return 0.0
    return float(beats_s(planned, planned.item.length_s.from_float(at_s), layer.arrives_after))


def _same_place(a: Layer, b: Layer) -> bool:
    """Whether nothing of a layer changes that would be seen on its way from the one to the other."""
    return a is b or a == b or (a.straight != b.straight and a.changed(straight=b.straight) == b)


def _swept(grid: Grid, before: Look, after: Look) -> set[Key]:
    """Inputs that a layer crosses on its way from one look to the next."""
    if before is after:
        return set()
    old = dict(zip(layer_keys(before), before.layers, strict=True))
    found: set[Key] = set()
    for key, layer in zip(layer_keys(after), after.layers, strict=True):
        was = old.get(key)
        if was is None or was.source != layer.source or _same_place(was, layer):
            continue
        (x, y, wide, high), (to_x, to_y, to_wide, to_high) = grid.place(was), grid.place(layer)
        left, right = min(x, to_x), max(x + wide, to_x + to_wide)
        top, bottom = min(y, to_y), max(y + high, to_y + to_high)
        for wall_input, x0, y0, x1, y1 in grid.edges:
            if x0 < right and x1 > left and y0 < bottom and y1 > top:
                found.add((key, layer.source, wall_input))
    return found


def allocate(occupied: Sequence[Span]) -> tuple[int, ...]:
    """The channel, from 1, that each span has from its beginning to its end; spans in order of beginning.

    As few channels as can be; a span never changes its channel.
    """
    free: list[int] = []
    busy: list[tuple[float, int]] = []
    given, made = [], 0
    for span in occupied:
        while busy and busy[0][0] <= span.start_s:
            heappush(free, heappop(busy)[1])
        if not free:
            made += 1
            heappush(free, made)
        channel = heappop(free)
        given.append(channel)
        heappush(busy, (span.end_s, channel))
    return tuple(given)


def levels(occupied: Iterable[Span], length_s: float) -> tuple[Level, ...]:
    """How many channels are needed over an item, from 0 to ``length_s``."""
    steps: dict[float, int] = {0.0: 0, length_s: 0}
    for span in occupied:
        steps[span.start_s] = steps.get(span.start_s, 0) + 1
        steps[span.end_s] = steps.get(span.end_s, 0) - 1
    found: list[Level] = []
    count = 0
    times = sorted(steps)
    for at_s, next_s in pairwise(times):
        count += steps[at_s]
        if found and found[-1].count == count:
            found[-1] = Level(found[-1].start_s, next_s, count)
        else:
            found.append(Level(at_s, next_s, count))
    return tuple(found)


def level_at(graph: Sequence[Level], at_s: float) -> int:
    """How many channels are needed at an instant."""
    n = bisect_right([level.start_s for level in graph], at_s) - 1
    return graph[n].count if graph and n >= 0 else 0
