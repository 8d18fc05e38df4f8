"""The source board: which sources are on the wall, which come soon, which are free, who needs each next."""

from bisect import bisect_right
from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from showcaller.model import Source
from showcaller.model.clockwords import m_ss
from showcaller.screen.looks import Looks, Standing, beats_s, looks_of
from showcaller.timing.plan import Plan
from showcaller.values import Struct

SOON_S = 60.0
"""A source that is needed within this is coming; until then it is free to be set up for something else."""


class Spell(NamedTuple):
    """A source's time on the wall without a break: seconds of the show as planned, and in which items it
    comes and goes."""

    from_s: float
    item: int
    until_s: float
    until_item: int


Needs = Mapping[str, tuple[Spell, ...]]
"""Source → when it is on, in order."""


class Tally(Struct, frozen=True):
    """A source's card. ``state`` is on, coming or free; ``in_s`` until it is needed again, None if never;
    ``item`` is who needs it next; ``spell`` is that in which it is now, by the plan.
    """

    source: Source
    state: str
    in_s: float | None
    item: int | None
    spell: Spell | None = None

    @property
    def words(self) -> str:
        """``on wall``, ``in 0:14``, ``free``."""
        if self.state == "on":
            return "on wall"
        if self.state == "coming" and self.in_s is not None:
            return f"in {m_ss(int(self.in_s))}"
        return "free"


def needs_of(plan: Plan) -> Needs:
    """When each source is on the wall over the whole show: from when its first layer arrives, until a look
    without it is there."""
    found: dict[str, list[Spell]] = {s.id: [] for s in plan.show.sources}
    since: dict[str, tuple[float, int]] = {}
    for i, start in enumerate(plan.starts_s):
        start_s, looks = float(start), looks_of(plan, i)
        for standing in looks.standing:
            comes_s = _comes_s(looks, standing)
            for source in [source for source in since if source not in comes_s]:
                found[source].append(Spell(*since.pop(source), start_s + standing.arrived_s, i))
            for source, at_s in comes_s.items():
                since.setdefault(source, (start_s + at_s, i))
    last = len(plan.items) - 1
    for source, (from_s, item) in since.items():
        until_s = float(plan.starts_s[last]) + float(plan.items[last].item.length_s)
        found[source].append(Spell(from_s, item, until_s, last))
    return {source: tuple(spells) for source, spells in found.items()}


def _comes_s(looks: Looks, standing: Standing) -> dict[str, float]:
    """When each source of a look comes, s of its item; not one that would come after the look has gone."""
    at = Fraction(round(standing.at_s * 1_000_000), 1_000_000)
    found: dict[str, float] = {}
    for layer in standing.look.layers:
        at_s = standing.at_s + float(beats_s(looks.planned, at, layer.arrives_after))
        if at_s < standing.until_s or not layer.arrives_after:
            found[layer.source] = min(at_s, found.get(layer.source, at_s))
    return found


def tallies(plan: Plan, needs: Needs, item: int, at_s: float, on: frozenset[str]) -> tuple[Tally, ...]:
    """The board at an instant of an item; ``on`` are the sources seen on the wall now."""
    now_s = float(plan.starts_s[item]) + at_s
    cards = []
    for source in plan.show.sources:
        spells = needs.get(source.id, ())
        n = bisect_right([s.from_s for s in spells], now_s + 1e-6)
        in_s, who = (spells[n].from_s - now_s, spells[n].item) if n < len(spells) else (None, None)
        state = "on" if source.id in on else "coming" if in_s is not None and in_s <= SOON_S else "free"
        now = spells[n - 1] if n and spells[n - 1].until_s > now_s else None
        cards.append(Tally(source, state, in_s, who, now))
    return tuple(cards)
