"""What would make an item's looks fit a pool's channels: each remedy tried on the whole item. Pure.

One that makes it fit where it is short, and leaves it short (or shorter) elsewhere, is not offered.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from itertools import combinations
from math import ceil

from showcaller.model import Layer, Source, Wall
from showcaller.screen.channels import Level, Span, level_at, levels, spans
from showcaller.screen.costs import could_be_straight, names, taking
from showcaller.screen.geometry import input_rect, layer_rect
from showcaller.screen.looks import Looks, Standing
from showcaller.screen.measures import Unit, length_text
from showcaller.screen.surfaces import Pooled
from showcaller.values import Struct, replace

Pair = tuple[Standing, ...]
"""The look that stands, or the one that goes and the one that comes."""

MOST_SHARE = 0.15
"""A layer is not nudged by more of its own width or height: it would be another picture."""


class Place(Struct, frozen=True):
    """Where in an item: the look's place in it, and whether it is still coming."""

    look: int
    arriving: bool


class Pooling(Struct, frozen=True):
    """A pool over an item: the looks of it as each surface has them, and how many channels are needed now.
    ``several``: the show has more surfaces than one, so that they are named."""

    pool: Pooled
    on: Mapping[str, Looks]
    sources: Mapping[str, Source]
    lengths: Unit
    graph: tuple[Level, ...]
    several: bool


class Remedy(Struct, frozen=True):
    """What is done, in words, and to the looks of which surface (None: to those of all)."""

    words: str
    surface: str | None
    do: Callable[[Pair], Pair]


def remedies(
    pooling: Pooling, place: Place, worst_s: float, over_s: tuple[float, float], short: int
) -> tuple[str, ...]:
    """What alone makes it fit, the least drastic first; else two things that do together."""
    tries = list(_tries(pooling, place))
    now = _count(pooling, place, worst_s)

    def helps(*some: Remedy) -> bool:
        if now - _count(pooling, place, worst_s, *some) < short:
            return False  # at the worst moment, which is quick to see
        return _mends(pooling, place, over_s, *some)

    alone = [one.words for one in tries if helps(one)]
    if alone:
        return tuple(alone[:3])
    both = next(((a, b) for a, b in combinations(tries, 2) if helps(a, b)), None)
    return () if both is None else (f"{both[0].words} together with {both[1].words}",)


def _tries(pooling: Pooling, place: Place) -> Iterator[Remedy]:
    if place.arriving:
        yield Remedy("a cut there", None, _cut)
    off: list[Remedy] = []
    nudges: list[Remedy] = []
    for wall in pooling.pool.surfaces:
        there = _there(pooling.on[wall.id], place)
        at = f" off {wall.name}" if pooling.several else " off"
        for layer in {x.key: x for s in there for x in s.look.layers}.values():
            source = pooling.sources[layer.source]
            inputs = could_be_straight(wall, layer, source)
            if inputs:
                words = f"{source.name} direct to {names(inputs)}"
                yield Remedy(words, wall.id, partial(_with_layers, straight=layer.source))
            nudges += [
                Remedy(
                    f"nudging {source.name} {n.words(pooling.lengths)}",
                    wall.id,
                    partial(_moved, layer=layer, by=n),
                )
                for n in nudges_of(wall, layer, source)[:1]
            ]
        for ident in dict.fromkeys(x.source for s in there for x in s.look.layers):
            words = f"taking {pooling.sources[ident].name}{at}"
            off.append(Remedy(words, wall.id, partial(_with_layers, without=ident)))
    yield from (*nudges, *off)


class Nudge(Struct, frozen=True):
    """A layer moved by so many metres to the right and up, which is ``share`` of its own width or height, and
    then takes ``saved`` channels less."""

    right_m: float
    up_m: float
    share: float
    saved: int

    def words(self, unit: Unit) -> str:
        """``0.68 m left (8 %)``."""
        far = max(abs(self.right_m), abs(self.up_m))
        way = "left" if self.right_m < 0 else "right" if self.right_m else "down" if self.up_m < 0 else "up"
        metres = " m" if unit == "m" else ""
        return f"{length_text(far, unit)}{metres} {way} ({max(1, round(self.share * 100))} %)"


def nudges_of(wall: Wall, layer: Layer, source: Source) -> tuple[Nudge, ...]:
    """The small moves after which a layer takes fewer channels; the smallest first.

    It is moved out of an input that it reaches into by little.
    """
    now = len(taking(wall, layer, source))
    if now < 2 and not layer.straight:
        return ()  # all it could do is leave the surface
    rect = layer_rect(wall, layer)
    across, down = wall.width_m / wall.width_px, wall.height_m / wall.height_px
    moves: set[tuple[float, float]] = set()
    for one in wall.inputs:
        box = input_rect(one)
        if rect.meet(box) is None:
            continue
        moves |= {
            (-_far((rect.right - box.x) * across), 0.0), (_far((box.right - rect.x) * across), 0.0),
            (0.0, _far((rect.bottom - box.y) * down)), (0.0, -_far((box.bottom - rect.y) * down)),
        }  # fmt: skip
    found = []
    for right_m, up_m in moves:
        share = max(abs(right_m) / layer.width_m, abs(up_m) / layer.height_m)
        if share <= MOST_SHARE:
            moved = _nudged(layer, right_m, up_m)
            saved = now - len(taking(wall, moved, source))
            if saved > 0:
                found.append(Nudge(right_m, up_m, share, saved))
    return tuple(sorted(found, key=lambda n: (n.share, n.right_m, n.up_m)))


def _far(metres: float) -> float:
    """To the whole centimetre, up: a hand is no finer."""
    return ceil(round(metres * 100, 6)) / 100


def _nudged(layer: Layer, right_m: float, up_m: float) -> Layer:
    at = {"left_m": round(layer.left_m + right_m, 4), "bottom_m": round(layer.bottom_m + up_m, 4)}
    return layer.model_copy(update=at)


def _there(looks: Looks, place: Place) -> Pair:
    return looks.standing[place.look - place.arriving : place.look + 1]


def _done(pooling: Pooling, place: Place, wall: Wall, some: Sequence[Remedy]) -> Pair:
    """The looks there, as a surface has them, after something was done."""
    there = _there(pooling.on[wall.id], place)
    for one in some:
        if one.surface in (None, wall.id):
            there = one.do(there)
    return there


def _count(pooling: Pooling, place: Place, at_s: float, *some: Remedy) -> int:
    """How many channels are needed at an instant."""
    count = 0
    for wall in pooling.pool.surfaces:
        looks = replace(pooling.on[wall.id], standing=_done(pooling, place, wall, some))
        count += sum(s.start_s <= at_s < s.end_s for s in spans(wall, looks, pooling.sources))
    return count


def _mends(pooling: Pooling, place: Place, over_s: tuple[float, float], *some: Remedy) -> bool:
    """Whether it fits there then, and is nowhere in the item shorter than it was."""
    limit, length_s = pooling.pool.channels, 0.0
    found: list[Span] = []
    for wall in pooling.pool.surfaces:
        was = pooling.on[wall.id]
        standing, n = was.standing, place.look
        made = _done(pooling, place, wall, some)
        looks = replace(was, standing=(*standing[: n - place.arriving], *made, *standing[n + 1 :]))
        found += spans(wall, looks, pooling.sources)
        length_s = was.length_s
    after = levels(found, length_s)
    for at_s in {level.start_s for level in (*after, *pooling.graph)}:
        most = limit if over_s[0] <= at_s < over_s[1] else max(limit, level_at(pooling.graph, at_s))
        if level_at(after, at_s) > most:
            return False
    return True


def _cut(there: Pair) -> Pair:
    """The last look cut to instead."""
    before, after = there
    change = after.change.model_copy(update={"by": "cut", "beats": 0.0})
    return before._replace(until_s=after.at_s), after._replace(change=change, arrived_s=after.at_s)


def _with_layers(there: Pair, straight: str | None = None, without: str | None = None) -> Pair:
    """The looks with a source's layers passed straight, or left out."""
    changed = []
    for standing in there:
        layers = tuple(
            x.model_copy(update={"straight": True}) if x.source == straight else x
            for x in standing.look.layers
            if x.source != without
        )
        changed.append(standing._replace(look=standing.look.model_copy(update={"layers": layers})))
    return tuple(changed)


def _moved(there: Pair, layer: Layer, by: Nudge) -> Pair:
    """The looks with a layer nudged wherever it lies so."""
    return tuple(
        standing._replace(
            look=standing.look.model_copy(update={"layers": tuple(
                _nudged(x, by.right_m, by.up_m) if x.key == layer.key and x == layer else x
                for x in standing.look.layers
            )})
        )
        for standing in there
    )  # fmt: skip
