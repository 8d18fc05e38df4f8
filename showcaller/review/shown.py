"""What was on the wall, when and how it came: the answer to "what did I do in the second chorus?". Pure."""

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from showcaller.model import Layer, LookChange
from showcaller.review.played import NO_NAMES, gesture_words, gestures
from showcaller.review.sections import section_bounds
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.screen.picture import change_words
from showcaller.screen.words import treatments_text
from showcaller.timing.plan import Plan, PlannedItem
from showcaller.values import Struct


class Shown(Struct, frozen=True):
    """A look that came on the wall in a run, or what a hand played of it then.

    Attributes:
        at_s: seconds into the item.
        section: the song's section, counted where a name comes more than once: ``chorus 2``; may be empty.
        bar: the bar, None without tempo.
        how: ``mix over 8 beats``; ``played`` for what a hand did to the look that stood.
        by_hand: the director put it on, not a cue.
        layers: a line for each layer, from the front; of what was played that layer alone, as it was left.
        until_bar: where a hand let go of it, None for a look and without tempo.
    """

    t_ns: int
    item: str
    at_s: float
    section: str
    bar: int | None
    look: str
    how: str
    by_hand: bool
    layers: tuple[str, ...]
    until_bar: int | None = None


def shown_in(plan: Plan, records: Iterable[Record]) -> tuple[Shown, ...]:
    """Every look of a run in the order it came, from the log alone: layers are as they were composed. What a
    hand played stands among them at its time."""
    records = list(records)
    found = (*_looks(plan, records), *_played(plan, records))
    return tuple(sorted(found, key=lambda one: one.t_ns))


def _played(plan: Plan, records: Iterable[Record]) -> Iterable[Shown]:
    names = {k.id: k.name for k in plan.show.looks}
    sources = {s.id: s.name for s in plan.show.sources}
    surfaces = {s.id: s.name for s in plan.show.surfaces}
    items = {p.item.id: p for p in plan.items}
    came = {e.look: e for r in records for e in r.events if isinstance(e, ev.LookShown)}
    for one in gestures(records):
        first, planned = one.first, items.get(one.first.item)
        at_s = float(first.at_s or 0.0)
        yield Shown(
            one.since_ns,
            planned.item.name if planned is not None else first.item,
            at_s,
            "" if planned is None else section_at(planned, at_s),
            first.bar,
            names.get(first.look, first.look),
            "played",
            True,
            (gesture_words(one, came, sources, surfaces),),
            one.last.bar,
        )


def _looks(plan: Plan, records: Iterable[Record]) -> tuple[Shown, ...]:
    names = {k.id: k.name for k in plan.show.looks}
    sources = {s.id: s.name for s in plan.show.sources}
    surfaces = {s.id: s.name for s in plan.show.surfaces}
    items = {p.item.id: p for p in plan.items}
    found = []
    for record in records:
        for event in record.events:
            if not isinstance(event, ev.LookShown):
                continue
            planned = items.get(event.item)
            at_s = float(event.at_s or 0.0)
            position = (
                None
                if planned is None or event.at_s is None
                else planned.bar_at(Fraction(at_s).limit_denominator(1_000_000))
            )
            change = LookChange(look=event.look, by=event.by, beats=event.beats)
            found.append(
                Shown(
                    record.t_ns,
                    planned.item.name if planned is not None else event.item,
                    at_s,
                    "" if planned is None else section_at(planned, at_s),
                    position[0] if position else None,
                    names.get(event.look, event.look),
                    change_words(change),
                    event.cue is None,
                    tuple(layer_words(sources, x, surfaces) for x in reversed(event.layers)),
                )
            )
    return tuple(found)


def section_at(planned: PlannedItem, at_s: float) -> str:
    """The section at an instant; ``chorus 2`` for the second of that name. Empty before the first."""
    bounds = section_bounds(planned)[:-1]
    # A go that is a breath early belongs to what it opens.
    n = bisect_right([float(start) for _, start in bounds], at_s + 0.25) - 1
    if n < 0:
        return ""
    name = bounds[n][0]
    same = [i for i, (other, _) in enumerate(bounds) if other.lower() == name.lower()]
    return name if len(same) == 1 else f"{name} {same.index(n) + 1}"


def layer_words(
    sources: Mapping[str, str], fact: Mapping[str, Any], surfaces: Mapping[str, str] = NO_NAMES
) -> str:
    """A layer as it was composed: its source, where it lay (on which surface, where it names one), what was
    done to it."""
    layer = Layer.model_validate(fact)
    where = f"on {surfaces.get(layer.surface, layer.surface)}, " if layer.surface else ""
    words = [
        sources.get(layer.source, layer.source),
        f"{where}{layer.width_m:g} × {layer.height_m:g} m at {layer.left_m:g}, {layer.bottom_m:g}",
        *(
            f"{surfaces.get(p.surface, p.surface)}: {p.width_m:g} × {p.height_m:g} m at {p.left_m:g}, "
            f"{p.bottom_m:g}"
            for p in layer.also
        ),
        treatments_text(layer.treatments) or layer.treatment or "",
        f"{layer.opacity * 100:g} %" if layer.opacity < 1 else "",
        "straight" if layer.straight else "",
    ]
    return " · ".join(w for w in words if w)
