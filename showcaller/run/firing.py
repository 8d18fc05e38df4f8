"""Goes, what fires by itself, and the beginning and end of items."""

from collections.abc import Iterable, Mapping

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.clearing import refusal, used_up
from showcaller.run.compiled import NS, CompiledItem, CompiledShow, LookFact
from showcaller.run.marking import cascade, open_cues, with_marks
from showcaller.run.outcome import Outcome
from showcaller.run.state import Before, Mark, Place, RunState
from showcaller.values import replace

_HISTORY = 64
MOVED_ON = "that is no longer the next go: read the line in the box, then press go again"


def go(compiled: CompiledShow, state: RunState, given: c.Go, now_ns: int, out: Outcome) -> RunState:
    """Fire the next go, starting its item's clock if it is not running."""
    i, g = state.place.item, state.place.go
    if i >= len(compiled.items):
        out.refused = "every go of this show has been given: jump back to a cue, or end the show"
        return state
    item = compiled.items[i]
    if item.go_ids[g] != given.go:
        out.refused = MOVED_ON
        return state
    planned = item.planned.goes[g]
    cues = [item.planned.cues[k].cue for k in planned.cues]
    out.refused = refusal(compiled, state, cues, given.confirmed, now_ns)
    if out.refused is not None:
        return state
    marks = state.marks[i]
    silent = sorted({item.planned.cues[k].cue.department for k in planned.cues if _unanswered(marks.get(k))})
    if silent:
        out.events.append(ev.WentUnanswered(departments=tuple(silent), cues=tuple(c.id for c in cues)))
    before = Before(state.place, state.item, state.clock_ns, state.marks, state.held_ns)
    if state.cued_up:
        state = begin_item(compiled, state, i, item.go_at_ns[g], now_ns, out)
    fired = fire(compiled, state, i, planned.cues, now_ns, out, planned.id, now_ns, "go")
    state = used_up(compiled, state, cues, out.events)
    return replace(
        state,
        marks=(*state.marks[:i], {**state.marks[i], **fired}, *state.marks[i + 1 :])
        if fired
        else state.marks,
        place=next_place(compiled, state, i, g),
        history=(*state.history[1 - _HISTORY :], before),
    )


def _is_cut(cues: Iterable[int], marks: Mapping[int, Mark]) -> bool:
    """Whether every cue of a go was left out."""
    found = list(cues)
    return bool(found) and all(k in marks and marks[k].status == "skipped" for k in found)


def _unanswered(mark: Mark | None) -> bool:
    return mark is not None and mark.status == "standby"


def after(compiled: CompiledShow, i: int, g: int) -> Place:
    """The place behind a go."""
    return Place(i, g + 1) if g + 1 < len(compiled.items[i].go_ids) else Place(i + 1, 0)


def next_place(compiled: CompiledShow, state: RunState, i: int, g: int) -> Place:
    """The place behind a go that is done with: what a cut section left out meanwhile is not offered."""
    place = after(compiled, i, g)
    while place.item == i and _is_cut(compiled.items[i].planned.goes[place.go].cues, state.marks[i]):
        place = after(compiled, i, place.go)
    return place


def fire(
    compiled: CompiledShow,
    state: RunState,
    i: int,
    cues: Iterable[int],
    now_ns: int,
    out: Outcome,
    go_id: str | None,
    due_ns: int,
    by: ev.FiredBy,
) -> dict[int, Mark]:
    """Log and send cues; their marks. ``by`` is go, itself, or hand for one taken over."""
    item = compiled.items[i]
    at_ns = state.item_ns(now_ns) or 0
    for k in cues:
        out.events.append(
            ev.Fired(
                item=item.planned.item.id,
                cue=item.ids[k],
                go=go_id,
                planned_s=item.at_ns[k] / NS,
                actual_s=at_ns / NS,
                by=by,
            )
        )
        if k in item.looks:
            out.events.append(shown(item, k, at_ns))
        out.sends.append((i, k, due_ns))
    mark = Mark("fired", at_ns)
    return dict.fromkeys(cues, mark)


def shown(item: CompiledItem, k: int, at_ns: int) -> ev.LookShown:
    """The log's word on the look that a cue has put on the wall."""
    return look_shown(item.looks[k], item.planned.item.id, item.ids[k], at_ns / NS)


def look_shown(fact: LookFact, item: str, cue: str | None, at_s: float | None) -> ev.LookShown:
    """A look on the wall, put there by a cue or by hand."""
    return ev.LookShown(
        item=item, cue=cue, at_s=at_s, look=fact.look, by=fact.by, beats=fact.beats, over_s=fact.over_s,
        ease=fact.ease, layers=fact.layers,
    )  # fmt: skip


def begin_item(
    compiled: CompiledShow, state: RunState, i: int, offset_ns: int, now_ns: int, out: Outcome
) -> RunState:
    """Start an item's clock at ``offset_ns``; what would have fired by itself before that is left out."""
    if state.clock_ns is not None:
        state = end_item(compiled, state, now_ns, out, "the next item began")
    state = end_unplanned(state, now_ns, out)
    item = compiled.items[i]
    item_id = item.planned.item.id
    out.events.append(
        ev.ItemStarted(item=item_id, at_s=offset_ns / NS, planned_start_s=compiled.starts_ns[i] / NS)
    )
    early = [k for k, follows, ns in item.automatic if follows is None and ns < offset_ns]
    passed = open_cues(state, i, early)
    begun = now_ns if state.begun_ns is None else state.begun_ns
    state = replace(
        state, item=i, clock_ns=now_ns - offset_ns, begun_ns=begun,
        turn=None, let_out=frozenset(), since_ns=offset_ns, passes=0,
    )  # fmt: skip
    return leave_out(compiled, state, i, passed, now_ns, out, "picked up after it")


def end_unplanned(state: RunState, now_ns: int, out: Outcome) -> RunState:
    """The unplanned item is over, if one is on."""
    if state.unplanned is None:
        return state
    length_s = (now_ns - state.unplanned.since_ns) / NS
    out.events.append(ev.UnplannedEnded(name=state.unplanned.name, length_s=length_s))
    return replace(state, unplanned=None)


def end_item(compiled: CompiledShow, state: RunState, now_ns: int, out: Outcome, why: str) -> RunState:
    """Close the item that is on: its clock stops, and what has not fired by itself will not."""
    i = state.item
    item = compiled.items[i]
    at_ns = state.item_ns(now_ns) or 0
    left = open_cues(state, i, [k for k, _, _ in item.automatic])
    for k in left:
        out.events.append(missed(compiled, i, k, None, why))
    out.events.append(
        ev.ItemEnded(
            item=item.planned.item.id, length_s=at_ns / NS, planned_s=float(item.planned.item.length_s)
        )
    )
    state = with_marks(state, i, {k: Mark("missed", at_ns) for k in left})
    return replace(state.by_hand(), clock_ns=None, resynced=None, turn=None)


def leave_out(
    compiled: CompiledShow, state: RunState, i: int, cues: list[int], now_ns: int, out: Outcome, why: str
) -> RunState:
    """Mark cues that are still to come as skipped, and what follows them."""
    item = compiled.items[i]
    at_ns = state.item_ns(now_ns) or 0
    cues = open_cues(state, i, cues)
    for k in cues:
        out.events.append(ev.Skipped(item=item.planned.item.id, cue=item.ids[k], why=why))
    state = with_marks(state, i, {k: Mark("skipped", at_ns) for k in cues})
    return cascade(compiled, state, i, cues, out.events)


def missed(compiled: CompiledShow, i: int, k: int, late_ns: int | None, why: str) -> ev.Missed:
    """The log's word on an automatic cue that does not fire."""
    item = compiled.items[i]
    return ev.Missed(
        item=item.planned.item.id,
        cue=item.ids[k],
        planned_s=item.at_ns[k] / NS,
        late_s=None if late_ns is None else late_ns / NS,
        why=why,
    )
