"""What stood on the wall in a part of a run, whenever it came: from, to, how, each layer's arrival. Pure.

A look stands from the moment it comes until the next one has arrived, or is cut off by one that comes still
earlier: while a mix goes on, both are on the wall.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from showcaller.model import Layer, LookChange
from showcaller.review.clock_path import Span, Stretch, place_at
from showcaller.review.played import Gesture, gesture_words, gestures
from showcaller.review.shown import layer_words
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.runlog import Record
from showcaller.screen.looks import beats_s
from showcaller.screen.picture import change_words
from showcaller.timing.plan import Plan
from showcaller.values import Struct


class RunInstant(Struct, frozen=True):
    """An instant of a run in its own terms: ``item`` by name, seconds on its clock, its bar and beat if it
    has bars; all empty where no item was on."""

    t_ns: int
    item: str = ""
    at_s: float | None = None
    bar: int | None = None
    beat: int | None = None

    @property
    def words(self) -> str:
        """``Iron Gulls, bar 54 / 1``."""
        if self.at_s is None:
            return "between items"
        place = f"bar {self.bar} / {self.beat}" if self.bar is not None else f"{self.at_s:.1f} s"
        return f"{self.item}, {place}"


class StoodLayer(Struct, frozen=True):
    """A layer, from the front; ``arrived`` is when it was wholly there, or since when it had been."""

    words: str
    arrived: RunInstant
    carried: bool


class StoodPlayed(Struct, frozen=True):
    """What a hand did to a layer while its look stood, from ``since`` to ``until``."""

    words: str
    since: RunInstant
    until: RunInstant


class Stood(Struct, frozen=True):
    """A look that stood: ``until`` is None while it stood still when the log ends. ``layers`` are as it came;
    ``played`` is what a hand changed, up to the end of the part that is asked about."""

    number: int
    look: str
    how: str
    by_hand: bool
    since: RunInstant
    until: RunInstant | None
    layers: tuple[StoodLayer, ...]
    played: tuple[StoodPlayed, ...] = ()


class _Came(Struct, frozen=True):
    t_ns: int
    event: ev.LookShown
    over_ns: int


def stood_in(
    plan: Plan, path: Sequence[Stretch], records: Iterable[Record], spans: Sequence[Span]
) -> tuple[Stood, ...]:
    """Every look that stood at any time of ``spans``, those that stood before included, in order."""
    records = list(records)
    hand = gestures(records)
    end_ns = max((end for _, end in spans), default=0)
    came = [
        _Came(r.t_ns, e, round(e.over_s * NS) if e.by != "cut" else 0)
        for r in records
        for e in r.events
        if isinstance(e, ev.LookShown)
    ]
    found = []
    arrived: Mapping[str, tuple[str, int]] = {}
    for n, one in enumerate(came):
        arrived = _arrivals(plan, one, arrived)
        until_ns = _until(came, n)
        if any(one.t_ns < end and (until_ns is None or until_ns > begin) for begin, end in spans):
            mine = [g for g in hand if g.number == n and g.since_ns < end_ns]
            found.append(_stood(plan, path, n, one, until_ns, arrived, mine))
    return tuple(found)


def _until(came: Sequence[_Came], n: int) -> int | None:
    if n + 1 >= len(came):
        return None
    there = came[n + 1].t_ns + came[n + 1].over_ns
    return there if n + 2 >= len(came) else min(there, came[n + 2].t_ns)


def _keys(layers: Sequence[Mapping[str, object]]) -> list[tuple[str, str]]:
    """(what a layer goes by, its source), a second one of a name told from the first."""
    found: list[tuple[str, str]] = []
    for layer in layers:
        source = str(layer["source"])
        key = str(layer.get("id") or source)
        count = sum(k.split("#")[0] == key for k, _ in found)
        found.append((key if count == 0 else f"{key}#{count + 1}", source))
    return found


def _arrivals(plan: Plan, one: _Came, before: Mapping[str, tuple[str, int]]) -> dict[str, tuple[str, int]]:
    """Layer → (source, the instant from which it is wholly there)."""
    planned = next((p for p in plan.items if p.item.id == one.event.item), None)
    at_s = Fraction(one.event.at_s or 0).limit_denominator(1_000_000)
    found: dict[str, tuple[str, int]] = {}
    for (key, source), fact in zip(_keys(one.event.layers), one.event.layers, strict=True):
        if key in before and before[key][0] == source:
            found[key] = before[key]
            continue
        layer = Layer.model_validate(fact)
        beats = layer.arrives_after + layer.arrives_over
        own_ns = 0 if planned is None or beats == 0 else round(beats_s(planned, at_s, beats) * NS)
        found[key] = (source, one.t_ns + max(one.over_ns, own_ns))
    return found


def _stood(
    plan: Plan,
    path: Sequence[Stretch],
    n: int,
    one: _Came,
    until_ns: int | None,
    arrived: Mapping[str, tuple[str, int]],
    hand: Sequence[Gesture],
) -> Stood:
    looks = {k.id: k.name for k in plan.show.looks}
    sources = {s.id: s.name for s in plan.show.sources}
    surfaces = {s.id: s.name for s in plan.show.surfaces}
    event = one.event
    layers = []
    for (key, _), fact in reversed(list(zip(_keys(event.layers), event.layers, strict=True))):
        at_ns = arrived[key][1]
        words = layer_words(sources, fact, surfaces)
        layers.append(StoodLayer(words, moment(plan, path, at_ns), at_ns < one.t_ns))
    return Stood(
        n,
        looks.get(event.look, event.look),
        change_words(LookChange(look=event.look, by=event.by, beats=event.beats)),
        event.cue is None,
        moment(plan, path, one.t_ns),
        None if until_ns is None else moment(plan, path, until_ns),
        tuple(layers),
        tuple(
            StoodPlayed(
                gesture_words(g, {event.look: event}, sources, surfaces),
                moment(plan, path, g.since_ns),
                moment(plan, path, g.until_ns),
            )
            for g in hand
        ),
    )


def moment(plan: Plan, path: Sequence[Stretch], t_ns: int) -> RunInstant:
    """An instant of the run in the show's terms."""
    place = place_at(path, t_ns)
    if place is None:
        return RunInstant(t_ns)
    planned, at_s = plan.items[place[0]], place[1] / NS
    position = planned.bar_at(Fraction(place[1], NS))
    if position is None or position[0] < 1:
        return RunInstant(t_ns, planned.item.name, at_s)
    return RunInstant(t_ns, planned.item.name, at_s, position[0], int(position[1]))
