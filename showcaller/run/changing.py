"""Changes for tonight: the show that is on becomes another, and nothing that has fired is touched. Pure.

A change is made as in the book (:mod:`showcaller.editing.changes`). It may put in, cut, move and retime items
and cues that are to come, and change what they say and send, and looks. Departments, outputs, clearances and
the wall stay as they are while a run is on; what is hazardous can only be taken out, and a cue keeps every
clearance it needs.
"""

import json
from collections.abc import Iterator
from functools import lru_cache

from showcaller.editing.changes import ChangeError, apply, change_from
from showcaller.model import Cue, Show
from showcaller.model.base import ById
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.carrying import carried, out_of_order
from showcaller.run.compiled import NS, CompiledShow, recompiled
from showcaller.run.outcome import Outcome
from showcaller.run.state import RunState
from showcaller.timing.plan import compile_plan

TONIGHT = ("items", "looks")
"""What of a show can be changed while it is on."""

_CALLED = {
    "outlets": "outputs", "sends": "messages of looks", "starts_at": "start", "day": "day sheet",
    "speaking": "wording", "timecode_in": "timecode that comes in",
}  # fmt: skip
"""What parts of a show are called where they are edited, if not as in the document."""


def change(
    compiled: CompiledShow, state: RunState, given: c.ChangeTonight, now_ns: int, out: Outcome
) -> RunState:
    """Make the change, or say why not; the outcome has the show from here on."""
    after = given.cannot or edition(compiled, given)
    if isinstance(after, str):
        out.refused = after
        return state
    out.refused = next(_in_the_way(compiled, after, state, now_ns), None)
    if out.refused is not None:
        return state
    there = carried(compiled, after, state, now_ns)
    mixed = out_of_order(after, there)
    if mixed is not None:
        first, done = (_named(after, _cue(after, ident)) for ident in mixed)
        out.refused = (
            f"{first} would come before {done}, which is over: jump back there first, or put it later"
        )
        return state
    out.compiled = after
    items = tuple(_changed_items(compiled, after))
    out.events.append(ev.ShowChanged(words=given.words, by=given.by, items=items, change=given.change))
    return there


def edition(compiled: CompiledShow, given: c.ChangeTonight) -> CompiledShow | str:
    """The show with the change made, ready to run; or why it can never be made, in one sentence.

    All of it that does not hang on where the run is, and all that takes long; the last few are remembered, so
    that it can be worked out beside the run first.
    """
    return _edition(ById(compiled), json.dumps(given.change))


@lru_cache(maxsize=4)
def _edition(wrapped: ById, change_json: str) -> CompiledShow | str:
    compiled: CompiledShow = wrapped.part
    before = compiled.plan.show
    try:
        show, _ = apply(before, change_from(json.loads(change_json)))
    except ChangeError as error:
        return str(error)
    sentence = _elsewhere(before, show) or next(_guarded(before, show), None)
    if sentence is not None:
        return sentence
    plan = compile_plan(show)
    if not plan.items:
        return "that would leave nothing to play; end the show instead"
    if plan.problems:
        return plan.problems[0].plain
    return recompiled(compiled, plan)


def _elsewhere(before: Show, after: Show) -> str | None:
    """What the change touches that is not for tonight."""
    for name in type(before).model_fields:
        if name not in TONIGHT and getattr(before, name) != getattr(after, name):
            what = _CALLED.get(name, name.replace("_", " "))
            return (
                f"only items, cues and looks change tonight: change the {what} in the book, for the next show"
            )
    if before == after:
        return "that is how it is already; nothing to change"
    return None


def _changed_items(before: CompiledShow, after: CompiledShow) -> Iterator[str]:
    was = {item.planned.item.id: item.planned for item in before.items}
    for item in after.items:
        ident = item.planned.item.id
        if was.pop(ident, None) is not item.planned:
            yield ident
    yield from was


def _in_the_way(before: CompiledShow, after: CompiledShow, state: RunState, now_ns: int) -> Iterator[str]:
    """Why the run does not allow the change: the first reason is said."""
    yield from _over(before, after, state, now_ns)
    yield from _fired(before, after, state)
    if state.clock_ns is not None:
        yield from _past(before, after, state, now_ns)


def _over(before: CompiledShow, after: CompiledShow, state: RunState, now_ns: int) -> Iterator[str]:
    """Items that are over or left out, and the one that is on or cued up midway, keep their places."""
    on = state.clock_ns is not None
    kept = before.items[: max(state.item + on, state.place.item + (state.place.go > 0))]
    for n, item in enumerate(kept):
        there = after.items[n].planned.item.id if n < len(after.items) else None
        if there != item.planned.item.id:
            name, last = item.planned.item.name, kept[-1].planned.item.name
            what = "on" if on and n == state.item else "over" if n < state.place.item else "next"
            yield f"{name} is {what}: only what comes after {last} can be cut, moved or put in"
            return
        if after.items[n].planned is not item.planned and n != state.item and n < state.place.item:
            yield f"{item.planned.item.name} is over: change it in the book"
    at_ns = state.item_ns(now_ns)
    if at_ns is not None and before.items[state.item].length_ns != after.items[state.item].length_ns <= at_ns:
        name = kept[-1].planned.item.name
        yield f"{name} has been on for {at_ns // NS} s already; make it longer than that"


def _fired(before: CompiledShow, after: CompiledShow, state: RunState) -> Iterator[str]:
    """What has fired stays as it fired; what may not have left, too."""
    for doubt in state.doubts:
        if doubt.cue in before.where and doubt.cue not in after.where:
            name = _named(before, _cue(before, doubt.cue))
            yield f"{name} may not have left yet: say first whether it is sent or left"
    for i, marks in enumerate(state.marks):
        item = before.items[i]
        for k, mark in marks.items():
            if mark.status != "fired":
                continue
            cue = item.planned.cues[k].cue
            there = after.where.get(cue.id)
            now = None if there is None else after.items[there[0]].planned.cues[there[1]].cue
            if there is None or (now is not cue and now != cue):
                yield f"{_named(before, cue)} has fired: it stays as it is tonight; change it in the book"
            elif after.items[there[0]].planned.item.id != item.planned.item.id:
                yield f"{_named(before, cue)} has fired: it stays in {item.planned.item.name}"


def _guarded(before: Show, after: Show) -> Iterator[str]:
    """What can hurt somebody is planned and checked with the show closed; so is what a cue waits for. Also in
    items that are out: they could be put in next."""
    known = {cue.id: cue for cue in before.all_cues()}
    for cue in after.all_cues():
        was = known.get(cue.id)
        if was is cue or was == cue:
            continue
        name = f"{before.department(cue.department).name} {cue.number}"
        if cue.hazard is not None or (was is not None and was.hazard is not None):
            yield f"{name} is hazardous: tonight it can only be taken out, not put in or changed"
        elif was is not None and not set(was.needs) <= set(cue.needs):
            yield f"{name} keeps the clearances it needs; take the cue out instead"


def _past(before: CompiledShow, after: CompiledShow, state: RunState, now_ns: int) -> Iterator[str]:
    """In the item that is on nothing can be put, or moved, to before now."""
    at_ns = state.item_ns(now_ns) or 0
    item, was = after.items[state.item], before.items[state.item]
    if item.planned is was.planned:
        return
    earlier = {cue: (was.at_ns[k], was.planned.cues[k]) for k, cue in enumerate(was.ids)}
    fired = {was.ids[k]: m.at_ns for k, m in state.marks[state.item].items() if m.status == "fired"}
    waits = {k: (follows, delay_ns) for k, follows, delay_ns in item.following}
    for k, planned in enumerate(item.planned.cues):
        ident, due_ns = item.ids[k], item.at_ns[k]
        same = ident in earlier and earlier[ident] == (due_ns, planned)
        if same or ident in fired or not planned.firm:
            continue
        follows, delay_ns = waits.get(k, (None, 0))
        if follows is not None:
            if item.ids[follows] not in fired:
                continue
            due_ns = fired[item.ids[follows]] + delay_ns
        if due_ns <= at_ns:
            bar = item.planned.bar_number_at(planned.at_s)
            place = f"{due_ns / NS:.0f} s" if bar is None else f"bar {bar}"
            name = _named(after, planned.cue)
            where = f"{place} of {item.planned.item.name}"
            yield f"{name} would come at {where}, and that is over: give a later place"


def _cue(compiled: CompiledShow, ident: str) -> Cue:
    i, k = compiled.where[ident]
    return compiled.items[i].planned.cues[k].cue


def _named(compiled: CompiledShow, cue: Cue) -> str:
    return f"{compiled.plan.show.department(cue.department).name} {cue.number}"
