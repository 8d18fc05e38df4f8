"""Where an item needs more processing channels than a pool has, and what would make it fit."""

from collections.abc import Iterable
from itertools import groupby, pairwise

from showcaller.model import Show, Song
from showcaller.model.clockwords import m_ss_part
from showcaller.screen.channels import Level, Span, allocate, levels, spans
from showcaller.screen.looks import Looks
from showcaller.screen.remedies import Place, Pooling, remedies
from showcaller.screen.surfaces import Pooled, first_id, looks_on, pools_of
from showcaller.values import Struct

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_VERBS = {"mix": "mixes into", "move": "moves into", "wipe": "wipes to"}


class Shortage(Struct, frozen=True):
    """Too few channels from ``start_s`` until ``end_s``, while one look stands or another comes: at worst
    ``needed``; one sentence says all."""

    start_s: float
    end_s: float
    needed: int
    short: int
    remedies: tuple[str, ...]
    sentence: str


class Budget(Struct, frozen=True):
    """A pool's channels over an item: what occupies them, which each has, how many are needed when, and every
    place where there are too few."""

    occupied: tuple[Span, ...]
    given: tuple[int, ...]
    graph: tuple[Level, ...]
    shortages: tuple[Shortage, ...]
    pool: Pooled

    @property
    def limit(self) -> int:
        """How many there are."""
        return self.pool.channels

    @property
    def most(self) -> int:
        """The most that are needed at once."""
        return max((level.count for level in self.graph), default=0)


def budget(show: Show, looks: Looks) -> Budget:
    """The channels of an item in the first surface's pool. The show must have a surface."""
    return _budget(show, looks, pools_of(show)[0])


def budgets(show: Show, looks: Looks) -> tuple[Budget, ...]:
    """The channels of an item in each pool."""
    return tuple(_budget(show, looks, pool) for pool in pools_of(show))


def _budget(show: Show, looks: Looks, pool: Pooled) -> Budget:
    sources, first = {s.id: s for s in show.sources}, first_id(show)
    on = {wall.id: looks_on(looks, wall.id, first) for wall in pool.surfaces}
    found = [span for wall in pool.surfaces for span in spans(wall, on[wall.id], sources)]
    if len(pool.surfaces) > 1:
        found.sort(key=lambda span: (span.start_s, span.end_s))
    occupied = tuple(found)
    graph = levels(occupied, looks.length_s)
    over = [part for x in graph if x.count > pool.channels for part in _by_looks(x, looks)]
    short = []
    if over:
        pooling = Pooling(pool, on, sources, show.lengths, graph, len(show.surfaces) > 1)
        for place, group in groupby(over, key=lambda level: _place(looks, level.start_s)):
            short += [_shortage(pooling, looks, place, run) for run in _joined(group)]
    return Budget(occupied, allocate(occupied), graph, tuple(short), pool)


def _by_looks(level: Level, looks: Looks) -> list[Level]:
    """A level in parts, where a look sets out or is there: each part is a place of its own."""
    edges = sorted(
        {e for s in looks.standing for e in (s.at_s, s.arrived_s) if level.start_s < e < level.end_s}
    )
    return [Level(a, b, level.count) for a, b in pairwise((level.start_s, *edges, level.end_s))]


def _place(looks: Looks, at_s: float) -> Place:
    """The look that stands then, and whether it is still coming."""
    n = looks.index_at(at_s)
    return Place(n, n > 0 and at_s < looks.standing[n].arrived_s)


def _joined(group: Iterable[Level]) -> list[list[Level]]:
    """Levels that follow one another at once."""
    runs: list[list[Level]] = []
    for level in group:
        if runs and runs[-1][-1].end_s == level.start_s:
            runs[-1].append(level)
        else:
            runs.append([level])
    return runs


def _shortage(pooling: Pooling, looks: Looks, place: Place, run: list[Level]) -> Shortage:
    worst = max(run, key=lambda level: level.count)
    short = worst.count - pooling.pool.channels
    found = remedies(pooling, place, worst.start_s, (run[0].start_s, run[-1].end_s), short)
    where = _where(looks, worst.start_s)
    count = _NUMBERS[short] if short < len(_NUMBERS) else str(short)
    inside = f" in {pooling.pool.name}" if pooling.several else ""
    words = f"{where}: {count} channel{'s' if short > 1 else ''} short{inside} while {_while(looks, place)}."
    if found:
        said = " or ".join(found)
        words += f" {said[0].upper()}{said[1:]} makes it fit."
    else:
        words += f" It needs {worst.count} and there are {pooling.pool.channels}; take layers out."
    return Shortage(run[0].start_s, run[-1].end_s, worst.count, short, found, words)


def _while(looks: Looks, place: Place) -> str:
    now = looks.standing[place.look]
    if not place.arriving:
        return f"“{now.look.name}” stands"
    return f"“{looks.standing[place.look - 1].look.name}” {_VERBS[now.change.by]} “{now.look.name}”"


def _where(looks: Looks, at_s: float) -> str:
    """``Bridge, bar 81``, or the time into an item without bars."""
    item = looks.planned.item
    position = looks.planned.bar_at(item.length_s.from_float(at_s))
    if position is None:
        return f"At {m_ss_part(at_s, 1)}"
    sections = [s for s in item.sections if s.bar <= position[0]] if isinstance(item, Song) else []
    name = max(sections, key=lambda s: s.bar).name if sections else ""
    return f"{name[0].upper()}{name[1:]}, bar {position[0]}" if name else f"Bar {position[0]}"
