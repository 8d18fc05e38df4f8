"""Looks over an item: which stands when, how each arrives, where it comes from. Pure.

Times are seconds into the item. A change that comes while another is still arriving ends it: the earlier look
is there at once, and the new one sets out from it.
"""

from bisect import bisect_right
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from showcaller.model import Layer, Look, LookChange, Show
from showcaller.model.base import kept_with_part
from showcaller.model.wall import Override
from showcaller.timing.plan import Plan, PlannedItem
from showcaller.values import Struct

NO_TEMPO_BEAT_S = Fraction(1, 2)
"""A beat where an item has no tempo: 120 a minute (our choice)."""

BLACK = Look(id="black", name="nothing")
"""What is on the wall before any look."""

Change = tuple[Fraction, LookChange, Look, str]
"""(at, change, look, id of its cue): what :func:`arrange` needs of each change."""


class Standing(NamedTuple):
    """A look and its time.

    Attributes:
        look: with the overrides of this place.
        change: how it comes.
        cue: id of the cue that brings it; empty for one carried over from before the item.
        at_s: when it sets out.
        arrived_s: when it is there, or another sets out.
        until_s: when the next is there: from then on nothing of it is seen.
        since_s: for each layer, by place, when its source came on the wall without leaving it since.
        bar: the bar at ``at_s``; None without tempo.
    """

    look: Look
    change: LookChange
    cue: str
    at_s: float
    arrived_s: float
    until_s: float
    since_s: tuple[float, ...]
    bar: int | None = None


class Looks(Struct, frozen=True):
    """An item's looks in order; the first stands from its start."""

    planned: PlannedItem
    standing: tuple[Standing, ...]
    length_s: float

    def index_at(self, at_s: float) -> int:
        """The place of the look that has set out last at ``at_s``."""
        return max(0, bisect_right([s.at_s for s in self.standing], at_s) - 1)


@kept_with_part
def layer_keys(look: Look) -> tuple[str, ...]:
    """What each layer goes by, unique within the look: a second one of a source is ``source#2``."""
    keys = [layer.id or layer.source for layer in look.layers]
    if len(set(keys)) == len(keys):
        return tuple(keys)
    seen: dict[str, int] = {}
    found = []
    for key in keys:
        seen[key] = count = seen.get(key, 0) + 1
        found.append(key if count == 1 else f"{key}#{count}")
    return tuple(found)


def resolved(show: Show, change: LookChange) -> Look:
    """A change's look with its overrides applied."""
    look = next(k for k in show.looks if k.id == change.look)
    return overridden(look, change.overrides)


def overridden(look: Look, overrides: tuple[Override, ...]) -> Look:
    """A look with layers changed or hidden; an override goes to every layer of its name."""
    if not overrides:
        return look
    by_key: dict[str, dict[str, object]] = {}
    places: dict[str, dict[str, dict[str, object] | None]] = {}
    hidden: set[str] = set()
    for override in overrides:
        own = ("layer", "hidden", "surface")
        given = {n: getattr(override, n) for n in type(override).model_fields if n not in own}
        given = {n: v for n, v in given.items() if v is not None}
        if override.surface is not None:
            there = places.setdefault(override.layer, {})
            before = there.get(override.surface, {})
            there[override.surface] = None if override.hidden or before is None else {**before, **given}
            continue
        by_key.setdefault(override.layer, {}).update(given)
        if override.hidden:
            hidden.add(override.layer)
    layers = tuple(
        _with_places(layer, by_key.get(layer.key, {}), places.get(layer.key, {}))
        for layer in look.layers
        if layer.key not in hidden
    )
    return look.model_copy(update={"layers": layers})


def _with_places(
    layer: Layer, given: Mapping[str, object], places: Mapping[str, Mapping[str, object] | None]
) -> Layer:
    """A layer with fields changed, its own and those of its further places; None takes a place away."""
    if places:
        also = tuple(
            place.changed(**changed) if changed else place
            for place in layer.also
            if (changed := places.get(place.surface, {})) is not None
        )
        given = {**given, "also": also}
    return layer.changed(**given) if given else layer


def beats_s(planned: PlannedItem, at_s: Fraction, beats: float) -> Fraction:
    """How long so many beats last from ``at_s`` on."""
    count = _exact_beats(beats)
    if planned.tempo is None or count == 0:
        return count * NO_TEMPO_BEAT_S
    origin = at_s - _downbeat(planned)
    return planned.tempo.after_beats(origin, count) - origin


@lru_cache(maxsize=256)
def _exact_beats(beats: float) -> Fraction:
    """As it was typed: 0.1 is a tenth."""
    return Fraction(repr(beats))


def beats_since(planned: PlannedItem, at_s: Fraction, now_s: Fraction) -> float:
    """Quarters gone by from ``at_s`` to ``now_s`` (beats where there is no tempo)."""
    if planned.tempo is None:
        return float((now_s - at_s) / NO_TEMPO_BEAT_S)
    zero = _downbeat(planned)
    return float(planned.tempo.quarter_at(now_s - zero) - planned.tempo.quarter_at(at_s - zero))


def _downbeat(planned: PlannedItem) -> Fraction:
    return planned.item.downbeat_s if planned.item.kind == "song" else Fraction(0)


def looks_of(plan: Plan, item: int) -> Looks:
    """The looks of an item as planned, the one before it carried over."""
    planned = plan.items[item]
    by_id = {k.id: k for k in plan.show.looks}
    changes = [
        (c.at_s, c.cue.look, overridden(by_id[c.cue.look.look], c.cue.look.overrides), c.cue.id)
        for c in planned.cues
        if c.cue.look is not None
    ]
    return arrange(planned, changes, carried(plan, item))


def carried(plan: Plan, item: int) -> Look:
    """What stands on the wall when an item begins, if all goes to plan."""
    for planned in reversed(plan.items[:item]):
        for cue in reversed(planned.cues):
            if cue.cue.look is not None:
                return resolved(plan.show, cue.cue.look)
    return BLACK


def arrange(
    planned: PlannedItem,
    changes: list[Change],
    before: Look = BLACK,
    played_s: Mapping[int, Mapping[str, float]] = MappingProxyType({}),
) -> Looks:
    """The looks of an item from its changes, which need not be in order.

    ``before`` has come long before: what of it arrives later than the rest is there.

    ``played_s`` tells of layers to which a hand gave another source while they stood: the look's place among
    the changes in order, from 1 → layer → when, s.
    """
    length_s = float(planned.item.length_s)
    ordered = sorted(changes, key=lambda c: c[0])
    first = (Fraction(0), LookChange(look=before.id), _there(before), "")
    whole = [first, *ordered]
    starts = [float(c[0]) for c in whole] + [max(length_s, float(whole[-1][0]))]
    arrived = [
        min(
            float(at + beats_s(planned, at, change.beats)) if change.by != "cut" else starts[n], starts[n + 1]
        )
        for n, (at, change, _, _) in enumerate(whole)
    ]
    standing: list[Standing] = []
    since: Mapping[str, tuple[str, float]] = {}
    for n, (at, change, look, cue) in enumerate(whole):
        keys = layer_keys(look)
        by_hand = played_s.get(n, {})
        found = tuple(
            by_hand[k]
            if k in by_hand
            else 0.0
            if _begins(x) == "runs on"
            else since[k][1]
            if k in since and since[k][0] == x.source and _begins(x) != "anew"
            else starts[n]
            for k, x in zip(keys, look.layers, strict=True)
        )
        since = {k: (x.source, s) for k, x, s in zip(keys, look.layers, found, strict=True)}
        until = arrived[n + 1] if n + 1 < len(whole) else starts[n + 1]
        standing.append(
            Standing(look, change, cue, starts[n], arrived[n], until, found, planned.bar_number_at(at))
        )
    if ordered and ordered[0][0] <= 0:
        standing = _without_first(standing)
    return Looks(planned, tuple(standing), starts[-1])


def _there(look: Look) -> Look:
    """A look all of which has arrived."""
    if not any(x.arrives_after or x.arrives_over for x in look.layers):
        return look
    arrived = {"arrives": "with the look", "arrives_after": 0.0, "arrives_over": 0.0}
    return look.model_copy(update={"layers": tuple(x.model_copy(update=arrived) for x in look.layers)})


def _begins(layer: Layer) -> str:
    return "if new" if layer.plays is None else layer.plays.begins


def _without_first(standing: list[Standing]) -> list[Standing]:
    """What is carried over is never seen where the item's first look cuts in at its start."""
    return standing[1:] if standing[1].arrived_s <= standing[0].at_s else standing
