"""The source board: which sources are on the wall, which come soon, which are free, who needs each next."""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

from showcaller.model import Source
from showcaller.model.clockwords import m_ss
from showcaller.screen.looks import looks_of
from showcaller.timing.plan import Plan

SOON_S = 60.0
"""A source that is needed within this is coming; until then it is free to be set up for something else."""

Needs = Mapping[str, tuple[tuple[float, int], ...]]
"""Source → when it comes on, in seconds of the show as planned, and in which item; in order."""


@dataclass(frozen=True, slots=True)
class Tally:
    """A source's card. ``state`` is on, coming or free; ``in_s`` until it is needed, None if never again;
    ``item`` is who needs it next.
    """

    source: Source
    state: str
    in_s: float | None
    item: int | None

    @property
    def words(self) -> str:
        """``on wall``, ``in 0:14``, ``free``."""
        if self.state == "on":
            return "on wall"
        if self.state == "coming" and self.in_s is not None:
            return f"in {m_ss(int(self.in_s))}"
        return "free"


def needs_of(plan: Plan) -> Needs:
    """When each source comes on the wall that was not on it just before, over the whole show."""
    found: dict[str, list[tuple[float, int]]] = {s.id: [] for s in plan.show.sources}
    before: set[str] = set()
    for i, start_s in enumerate(plan.starts_s):
        for standing in looks_of(plan, i).standing:
            now = {layer.source for layer in standing.look.layers}
            for source in now - before:
                found[source].append((float(start_s) + standing.at_s, i))
            before = now
    return {source: tuple(times) for source, times in found.items()}


def tallies(plan: Plan, needs: Needs, item: int, at_s: float, on: frozenset[str]) -> tuple[Tally, ...]:
    """The board at an instant of an item; ``on`` are the sources seen on the wall now."""
    now_s = float(plan.starts_s[item]) + at_s
    cards = []
    for source in plan.show.sources:
        times = needs.get(source.id, ())
        n = bisect_right([t for t, _ in times], now_s + 1e-6)
        in_s, who = (times[n][0] - now_s, times[n][1]) if n < len(times) else (None, None)
        state = "on" if source.id in on else "coming" if in_s is not None and in_s <= SOON_S else "free"
        cards.append(Tally(source, state, in_s, who))
    return tuple(cards)
