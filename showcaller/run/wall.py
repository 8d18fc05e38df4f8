"""What the video director does to the wall during a run: another look by hand, faults seen."""

from fractions import Fraction
from typing import get_args

from pydantic import ValidationError

from showcaller.model import LookChange, Show, Wall
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow, look_fact
from showcaller.run.firing import look_shown
from showcaller.run.outcome import Outcome
from showcaller.run.state import RunState
from showcaller.screen.faults import Panel, panel_name, panel_on
from showcaller.screen.geometry import panel_grid
from showcaller.screen.played import PlayedError, overrides_of
from showcaller.screen.surfaces import surface_named
from showcaller.values import replace

FAULTS = ("dead", "dim", "flickering", "wrong colour")
_BY = get_args(LookChange.model_fields["by"].annotation)


def put_look(
    compiled: CompiledShow, state: RunState, given: c.PutLook, now_ns: int, out: Outcome
) -> RunState:
    """Put a look on the wall by hand; the plan goes on with its own at the next cue that brings one."""
    show = compiled.plan.show
    known = [k.id for k in show.looks]
    if given.look not in known:
        out.refused = f"no look '{given.look}' in this show; it has {', '.join(known[:6]) or 'none'}"
    elif given.by not in _BY:
        out.refused = f"a transition is a {', '.join(_BY)}, not a '{given.by}'"
    if out.refused is not None:
        return state
    look = next(k for k in show.looks if k.id == given.look)
    try:
        otherwise = overrides_of(look, given.played or {})
        change = LookChange(look=given.look, by=given.by, beats=given.beats, overrides=otherwise)
    except PlayedError as error:
        out.refused = str(error)
        return state
    except ValidationError:
        out.refused = f"a change takes 0 to 256 beats, not {given.beats:g}"
        return state
    strange = {o.source for o in otherwise if o.source} - {s.id for s in show.sources}
    if strange:
        have = ", ".join(s.id for s in show.sources[:8])
        out.refused = f"this show has no source '{min(strange)[:20]}'; it has {have}"
        return state
    item_id, at_s, _ = _place(compiled, state, now_ns)
    exact_s = Fraction(round((at_s or 0) * 1_000_000), 1_000_000)
    fact = look_fact(show, compiled.items[state.item].planned, exact_s, change)
    out.events.append(look_shown(fact, item_id, None, at_s))
    out.shows.append(change)
    return state


def fault(compiled: CompiledShow, state: RunState, given: c.Fault, now_ns: int, out: Outcome) -> RunState:
    """Mark panels as faulty, or as mended; one that was marked on another night may be mended too."""
    show = compiled.plan.show
    wall = surface_named(show, given.surface) if given.surface else show.wall
    if wall is None:
        have = ", ".join(s.name for s in show.surfaces)
        out.refused = (
            f"this show has no surface '{given.surface}' any more; there are {have}"
            if have
            else "this show has no wall; set one up in Wall first"
        )
        return state
    columns, rows = panel_grid(wall)
    last = given.column + given.columns - 1, given.row + given.rows - 1
    inside = 1 <= given.column <= last[0] <= columns and 1 <= given.row <= last[1] <= rows
    panels = _panels(show, wall, given) if inside else ()
    panels = tuple(p for p in panels if given.mended or state.faults.get(p) != given.what)
    named = wall.name if len(show.surfaces) > 1 else ""
    if not inside:
        out.refused = f"{named or 'the wall'} has {columns} × {rows} panels; that one is off the wall"
    elif given.what not in FAULTS:
        out.refused = f"a panel is {', '.join(FAULTS)}, not '{given.what}'"
    elif not panels:
        panel = f"{named} {panel_name((given.column, given.row))}".strip()
        out.refused = f"{panel} is marked as {given.what} already"
    if out.refused is not None:
        return state
    item_id, at_s, bar = _place(compiled, state, now_ns)
    out.events.append(
        ev.FaultMarked(
            panels=tuple((p.column, p.row) for p in panels), surface=None if wall is show.wall else wall.id,
            what=given.what, mended=given.mended, words=given.words, item=item_id,
            at_s=at_s, bar=bar,
        )
    )  # fmt: skip
    kept = {panel: what for panel, what in state.faults.items() if panel not in panels}
    return replace(state, faults=kept if given.mended else {**kept, **dict.fromkeys(panels, given.what)})


def _panels(show: Show, wall: Wall, given: c.Fault) -> tuple[Panel, ...]:
    ys, xs = range(given.row, given.row + given.rows), range(given.column, given.column + given.columns)
    return tuple(panel_on(show, wall, x, y) for y in ys for x in xs)


def _place(compiled: CompiledShow, state: RunState, now_ns: int) -> tuple[str, float | None, int | None]:
    """(item, seconds into it, bar)."""
    planned = compiled.items[state.item].planned
    at_ns = state.item_ns(now_ns)
    position = None if at_ns is None else planned.bar_at(Fraction(at_ns, NS))
    return planned.item.id, None if at_ns is None else at_ns / NS, position[0] if position else None
