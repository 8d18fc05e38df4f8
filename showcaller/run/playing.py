"""What a hand plays on the wall in a run: layers of the look that stands, changed as it goes. Pure.

What is played stands until another look comes, by a cue or by hand: the next planned look stands as planned,
and what was played ends there. While a look is still arriving, a layer that is played is changed where it is
going to. None of it touches the place, the clock or a cue.
"""

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import get_args

from showcaller.model import Look, LookChange, Show
from showcaller.model.base import ById
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.outcome import Outcome
from showcaller.run.state import OnWall, RunState
from showcaller.screen.looks import beats_s, layer_keys
from showcaller.screen.played import PlayedError, checked, merged, with_played
from showcaller.screen.surfaces import first_id, place_of, split_key, surfaces_of
from showcaller.values import replace

_BY = get_args(LookChange.model_fields["by"].annotation)
_MOST_BEATS = 256


def play(compiled: CompiledShow, state: RunState, given: c.PlayLayer, now_ns: int, out: Outcome) -> RunState:
    """Change a layer of the look that stands."""
    show, on = compiled.plan.show, state.on_wall
    if on is None:
        out.refused = "nothing is on the wall yet: put up a look first, or wait for its cue"
        return state
    look = look_of(show, on.shown)
    if given.number != on.number:
        out.refused = f"“{look.name}” is on the wall now: choose its layer, and change it there"
        return state
    keys = layer_keys(look)
    name, surface = split_key(given.layer)
    if name not in keys:
        have = ", ".join(keys) or "none"
        out.refused = f"“{look.name}” has no layer '{given.layer[:40]}'; it has {have}"
        return state
    layer = look.layers[keys.index(name)]
    if surface and place_of(layer, surface) is None:
        have = ", ".join(surfaces_of(layer, first_id(show)))
        out.refused = f"layer '{name[:40]}' is not on '{surface[:40]}'; it is on {have}"
        return state
    try:
        fields = checked(given.layer, given.fields)
    except PlayedError as error:
        out.refused = str(error)
        return state
    source = fields.get("source", layer.source)
    if source not in {s.id for s in show.sources}:
        have = ", ".join(s.id for s in show.sources[:8])
        out.refused = f"this show has no source '{source}'; it has {have}"
        return state
    item, at_s, bar, beat = _place(compiled, state, now_ns)
    out.events.append(
        ev.LayerPlayed(
            item=item, at_s=at_s, bar=bar, beat=beat, look=look.id, layer=given.layer, fields=fields
        )
    )
    out.played = given.layer, tuple(fields)
    return state


def to_plan(
    compiled: CompiledShow, state: RunState, given: c.BackToPlan, now_ns: int, out: Outcome
) -> RunState:
    """The last planned look again, as its cue brought it."""
    on = state.on_wall
    if on is None or on.planned is None:
        out.refused = "no cue has brought a look yet, so there is no plan to go back to; put up a look"
    elif not on.played and (on.shown.look, on.shown.layers) == (on.planned.look, on.planned.layers):
        out.refused = "the wall is as planned already; nothing to take back"
    elif given.by not in _BY:
        out.refused = f"a transition is a {', '.join(_BY)}, not a '{given.by}'"
    elif not 0 <= given.beats <= _MOST_BEATS:
        out.refused = f"a change takes 0 to {_MOST_BEATS} beats, not {given.beats:g}"
    if out.refused is not None or on is None or on.planned is None:
        return state
    item, at_s, _, _ = _place(compiled, state, now_ns)
    exact_s = Fraction(round((at_s or 0) * 1_000_000), 1_000_000)
    over_s = 0.0 if given.by == "cut" else float(
        beats_s(compiled.items[state.item].planned, exact_s, given.beats)
    )  # fmt: skip
    out.again = replace(
        on.planned,
        item=item, cue=None, at_s=at_s, by=given.by,  # type: ignore[arg-type]
        beats=given.beats, over_s=over_s, to_plan=True,
    )  # fmt: skip
    out.events.append(out.again)
    return state


def seen(state: RunState, events: Iterable[ev.Event]) -> RunState:
    """The state with what its events tell of the wall; also those of whole records behind a gap."""
    on = state.on_wall
    for event in events:
        if isinstance(event, ev.LookShown):
            planned = event if event.cue is not None else on.planned if on is not None else None
            on = OnWall(1 if on is None else on.number + 1, event, planned)
        elif isinstance(event, ev.LayerPlayed) and on is not None:
            came = on.came
            if "source" in event.fields:
                came = {**came, event.layer: (event.item, event.at_s or 0.0)}
            on = replace(on, played=merged(on.played, event.layer, event.fields), came=came)
    return state if on is state.on_wall else replace(state, on_wall=on)


def look_of(show: Show, shown: ev.LookShown) -> Look:
    """The look of a log's entry, its layers as they were composed."""
    return _look_of(ById(show), ById(shown))


@lru_cache(maxsize=8)  # sixty times a second for the one that stands
def _look_of(of_show: ById, of_shown: ById) -> Look:
    show, shown = of_show.part, of_shown.part
    name = next((k.name for k in show.looks if k.id == shown.look), shown.look)
    return Look.model_validate({"id": shown.look, "name": name, "layers": shown.layers})


def look_now(show: Show, on: OnWall) -> Look:
    """The look that stands, with what was played."""
    return with_played(look_of(show, on.shown), on.played)


def _place(
    compiled: CompiledShow, state: RunState, now_ns: int
) -> tuple[str, float | None, int | None, int | None]:
    """(item, seconds into it, bar, beat)."""
    planned = compiled.items[state.item].planned
    at_ns = state.item_ns(now_ns)
    if at_ns is None:
        return planned.item.id, None, None, None
    position = planned.bar_at(Fraction(at_ns, NS))
    bar, beat = (position[0], int(position[1])) if position else (None, None)
    return planned.item.id, at_ns / NS, bar, beat
