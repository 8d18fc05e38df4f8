"""Where a song needs more processing channels than there are, and what would make it fit."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations

from showcaller.model import Show, Song, Source, Wall
from showcaller.model.clockwords import m_ss_part
from showcaller.screen.channels import Level, Span, allocate, levels, spans
from showcaller.screen.costs import could_be_straight, names
from showcaller.screen.looks import Looks, Standing

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
Remedy = Callable[[tuple[Standing, ...]], tuple[Standing, ...]]
_VERBS = {"mix": "mixes into", "move": "moves into", "wipe": "wipes to"}


@dataclass(frozen=True, slots=True)
class Shortage:
    """Too few channels from ``start_s`` until ``end_s``: at worst ``needed``; one sentence says all."""

    start_s: float
    end_s: float
    needed: int
    short: int
    remedies: tuple[str, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class Budget:
    """An item's channels: what occupies them, which each has, how many are needed when, and shortages."""

    occupied: tuple[Span, ...]
    given: tuple[int, ...]
    graph: tuple[Level, ...]
    shortages: tuple[Shortage, ...]
    limit: int

    @property
    def most(self) -> int:
        """The most that are needed at once."""
        return max((level.count for level in self.graph), default=0)


def budget(show: Show, looks: Looks) -> Budget:
    """The channels of an item. The show must have a wall."""
    wall = show.wall
    assert wall is not None
    occupied = spans(wall, looks, _sources(show))
    graph = levels(occupied, looks.length_s)
    found = []
    run: list[Level] = []
    for level in (*graph, Level(looks.length_s, looks.length_s, 0)):
        if level.count > wall.channels:
            run.append(level)
        elif run:
            found.append(_shortage(show, wall, looks, run))
            run = []
    return Budget(occupied, allocate(occupied), graph, tuple(found), wall.channels)


def _shortage(show: Show, wall: Wall, looks: Looks, run: list[Level]) -> Shortage:
    worst = max(run, key=lambda level: level.count)
    short = worst.count - wall.channels
    n = looks.index_at(worst.start_s)
    arriving = looks.standing[n] if worst.start_s < looks.standing[n].arrived_s and n > 0 else None
    remedies = _remedies(show, looks, n, arriving is not None, worst.start_s, short)
    where = _where(looks, worst.start_s)
    count = _NUMBERS[short] if short < len(_NUMBERS) else str(short)
    words = f"{where}: {count} channel{'s' if short > 1 else ''} short while {_while(looks, n, arriving)}."
    if remedies:
        said = " or ".join(remedies)
        words += f" {said[0].upper()}{said[1:]} makes it fit."
    else:
        words += f" It needs {worst.count} and there are {wall.channels}; take layers out."
    return Shortage(run[0].start_s, run[-1].end_s, worst.count, short, remedies, words)


def _while(looks: Looks, n: int, arriving: Standing | None) -> str:
    now = looks.standing[n]
    if arriving is None:
        return f"“{now.look.name}” stands"
    return f"“{looks.standing[n - 1].look.name}” {_VERBS[now.change.by]} “{now.look.name}”"


def _where(looks: Looks, at_s: float) -> str:
    """``Bridge, bar 81``, or the time into an item without bars."""
    item = looks.planned.item
    position = looks.planned.bar_at(item.length_s.from_float(at_s))
    if position is None:
        return f"At {m_ss_part(at_s, 1)}"
    sections = [s for s in item.sections if s.bar <= position[0]] if isinstance(item, Song) else []
    name = max(sections, key=lambda s: s.bar).name if sections else ""
    return f"{name[0].upper()}{name[1:]}, bar {position[0]}" if name else f"Bar {position[0]}"


def _remedies(
    show: Show, looks: Looks, n: int, arriving: bool, worst_s: float, short: int
) -> tuple[str, ...]:
    """What alone makes it fit, the least drastic first; else two things that do together."""
    wall = show.wall
    assert wall is not None
    there = looks.standing[n - 1 : n + 1] if arriving else looks.standing[n : n + 1]
    called = {s.id: s.name for s in show.sources}
    tries: list[tuple[str, Remedy]] = [("a cut there", _cut)] if arriving else []
    known = _sources(show)
    candidates = {x.key: x for s in there for x in s.look.layers}.values()
    for layer in candidates:
        inputs = could_be_straight(wall, layer, known.get(layer.source))
        if not inputs:
            continue
        words = f"{called[layer.source]} direct to {names(inputs)}"
        tries.append((words, partial(_with_layers, straight=layer.source)))
    sources = dict.fromkeys(x.source for s in there for x in s.look.layers)
    tries += [(f"taking {called[s]} off", partial(_with_layers, without=s)) for s in sources]
    now = _count(show, wall, looks, there, worst_s)
    saved = [(words, now - _count(show, wall, looks, remedy(there), worst_s)) for words, remedy in tries]
    alone = [words for words, count in saved if count >= short]
    if alone:
        return tuple(alone[:3])
    both = [
        f"{a} together with {b}"
        for (a, first), (b, second) in combinations(tries, 2)
        if now - _count(show, wall, looks, second(first(there)), worst_s) >= short
    ]
    return tuple(both[:1])


def _sources(show: Show) -> dict[str, Source]:
    return {s.id: s for s in show.sources}


def _count(show: Show, wall: Wall, looks: Looks, there: tuple[Standing, ...], at_s: float) -> int:
    found = spans(wall, replace(looks, standing=there), _sources(show))
    return sum(s.start_s <= at_s < s.end_s for s in found)


def _cut(there: tuple[Standing, ...]) -> tuple[Standing, ...]:
    """The last look cut to instead."""
    before, after = there
    change = after.change.model_copy(update={"by": "cut", "beats": 0.0})
    return before._replace(until_s=after.at_s), after._replace(change=change, arrived_s=after.at_s)


def _with_layers(
    there: tuple[Standing, ...], straight: str | None = None, without: str | None = None
) -> tuple[Standing, ...]:
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
