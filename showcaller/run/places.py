"""Moving the place: leaving out a go, jumping, taking a go back."""

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.firing import MOVED_ON, after, begin_item, end_item, leave_out, next_place
from showcaller.run.marking import with_followers, without_marks
from showcaller.run.outcome import Outcome
from showcaller.run.state import Place, RunState
from showcaller.values import replace


def skip(compiled: CompiledShow, state: RunState, given: c.Skip, now_ns: int, out: Outcome) -> RunState:
    """Leave out the next go; the start of an item leaves out the item."""
    i, g = state.place.item, state.place.go
    if i >= len(compiled.items) or compiled.items[i].go_ids[g] != given.go:
        out.refused = MOVED_ON
        return state
    item = compiled.items[i]
    if g == 0:
        out.events.append(ev.ItemSkipped(item=item.planned.item.id))
        return replace(state, place=Place(i + 1, 0))
    state = leave_out(compiled, state, i, list(item.planned.goes[g].cues), now_ns, out, ev.LEFT_OUT)
    return replace(state, place=next_place(compiled, state, i, g))


def jump(compiled: CompiledShow, state: RunState, given: c.Jump, now_ns: int, out: Outcome) -> RunState:
    """Put the place at an item's start or at a cue.

    Forward inside the item that runs, its clock runs on and what lies between is skipped. Back inside it the
    clock runs on too, since a band plays on whatever a desk does: the gos come again, and what has fired by
    itself has fired; unless the place is to be cued up. On to a later item the one that plays goes on
    until the go there, unless it is to be cued up. Anywhere else the running item ends and the target is
    cued up: its next go starts the clock at that go's own instant. After a jump back all that comes after the
    place is to come again, in later items too.
    """
    if given.item not in compiled.item_index:
        out.refused = f"no item '{given.item}' in this show; name one that is in the running order"
        return state
    to = compiled.item_index[given.item]
    target = compiled.items[to]
    if given.cue is not None and compiled.where.get(given.cue, (-1, 0))[0] != to:
        out.refused = f"no cue '{given.cue}' in '{target.planned.item.name}'; name one of that item"
        return state
    g = 0 if given.cue is None else _go_of(compiled, to, compiled.where[given.cue][1])
    runs_on = to == state.item and state.clock_ns is not None
    if runs_on and state.place == Place(to, g):
        out.refused = "that cue is the next go already; nothing to do"
        return state
    out.events.append(
        ev.Jumped(
            from_item=compiled.plan.items[state.item].item.id, to_item=target.planned.item.id, cue=given.cue
        )
    )
    if runs_on and g > 0 and state.place.item == to and g > state.place.go:
        between = [k for x in target.planned.goes[state.place.go : g] for k in x.cues]
        state = leave_out(compiled, state, to, between, now_ns, out, "jumped over")
        # Whoever goes on to where a section was cut wants what is there after all.
        cut = [k for x in target.planned.goes[g:] for k in x.cues]
        cut = [k for k in with_followers(compiled, to, cut) if _is_skipped(state, to, k)]
        return replace(without_marks(state, to, cut), place=Place(to, g), history=())
    if runs_on and not given.cue_up:
        return _gos_again(compiled, state, Place(to, g), out)
    if to > state.item and state.clock_ns is not None and not given.cue_up:
        return _on_to(compiled, state, Place(to, g), now_ns, out)
    if state.clock_ns is not None:
        state = end_item(compiled, state, now_ns, out, "the place moved on")
    state = _put_back(compiled, state, to, g, out)
    beyond = len(compiled.items) if to <= state.item else min(state.place.item + 1, len(compiled.items))
    for later in range(to + 1, beyond):
        state = _put_back(compiled, state, later, 0, out)
    state = replace(state, item=to, clock_ns=None, place=Place(to, g), history=())
    earlier = [k for x in target.planned.goes[:g] for k in x.cues]
    return leave_out(compiled, state, to, earlier, now_ns, out, "picked up after it")


def _is_skipped(state: RunState, i: int, k: int) -> bool:
    mark = state.marks[i].get(k)
    return mark is not None and mark.status == "skipped"


def locate(compiled: CompiledShow, state: RunState, given: c.Locate, now_ns: int, out: Outcome) -> RunState:
    """In a rehearsal, from cue to cue: the item's clock runs on from an instant of it. All that comes
    after is to come again, in later items too; what lies before it will not fire."""
    if not state.all_muted:
        out.refused = "from cue to cue only in a rehearsal, with all outputs muted"
    elif given.item not in compiled.item_index:
        out.refused = f"no item '{given.item}' in this show"
    if out.refused is not None:
        return state
    to = compiled.item_index[given.item]
    target, at_ns = compiled.items[to], round(given.at_s * NS)
    if not 0 <= at_ns < target.length_ns:
        out.refused = f"'{target.planned.item.name}' is not {given.at_s:.0f} s long; choose a place within it"
        return state
    out.events.append(
        ev.Jumped(from_item=compiled.plan.items[state.item].item.id, to_item=target.planned.item.id, cue=None)
    )
    if state.clock_ns is not None:
        state = end_item(compiled, state, now_ns, out, "the place moved on")
    g = next((g for g, ns in enumerate(target.go_at_ns) if ns >= at_ns), len(target.go_ids))
    state = _put_back(compiled, state, to, 0, out)
    for later in range(to + 1, len(compiled.items)):
        state = _put_back(compiled, state, later, 0, out)
    place = Place(to, g) if g < len(target.go_ids) else Place(to + 1, 0)
    state = replace(state, item=to, place=place, history=())
    state = begin_item(compiled, state, to, at_ns, now_ns, out)
    earlier = [k for x in target.planned.goes[:g] for k in x.cues]
    return leave_out(compiled, state, to, earlier, now_ns, out, "picked up after it")


def _gos_again(compiled: CompiledShow, state: RunState, place: Place, out: Outcome) -> RunState:
    """In the item that is on: its gos from ``place`` on come again, with what follows their cues, and all of
    later items. What waits for an instant of the clock keeps its end, since the clock goes on."""
    i, item = state.item, compiled.items[state.item]
    while place.item == i and not item.planned.goes[place.go].cues:
        place = after(compiled, i, place.go)  # a go that only starts the clock does nothing while it runs
    gos = item.planned.goes[place.go :] if place.item == i else ()
    called = [k for x in gos for k in x.cues]
    again = [k for k in with_followers(compiled, i, called) if k in state.marks[i]]
    done = sorted(k for k in again if state.marks[i][k].status == "fired")
    if done:
        out.events.append(ev.TakenBack(item=item.planned.item.id, cues=tuple(item.ids[k] for k in done)))
    lines = {line for line in state.said if line.startswith(f"{item.planned.item.id}:")}
    state = replace(without_marks(state, i, again), said=state.said - lines)
    for later in range(i + 1, len(compiled.items)):
        state = _put_back(compiled, state, later, 0, out)
    return replace(state, place=place, history=())


def _on_to(compiled: CompiledShow, state: RunState, place: Place, now_ns: int, out: Outcome) -> RunState:
    """On to a later item while one plays: its gos left are left out, its clock and what fires by itself
    run on until the go at the new place starts that item."""
    here = compiled.items[state.item].planned
    if state.place.item == state.item:
        left = [k for x in here.goes[state.place.go :] for k in x.cues]
        state = leave_out(compiled, state, state.item, left, now_ns, out, "jumped over")
    state = _put_back(compiled, state, place.item, place.go, out)
    for later in range(place.item + 1, min(state.place.item + 1, len(compiled.items))):
        state = _put_back(compiled, state, later, 0, out)  # jumped back from beyond them
    earlier = [k for x in compiled.items[place.item].planned.goes[: place.go] for k in x.cues]
    state = leave_out(compiled, state, place.item, earlier, now_ns, out, "picked up after it")
    return replace(state, place=place, history=())


def _go_of(compiled: CompiledShow, i: int, cue: int) -> int:
    """The go that fires a cue; for one that fires by itself, the last go not after it."""
    item = compiled.items[i]
    for g, planned in enumerate(item.planned.goes):
        if cue in planned.cues:
            return g
    return max(g for g, ns in enumerate(item.go_at_ns) if g == 0 or ns <= item.at_ns[cue])


def _put_back(compiled: CompiledShow, state: RunState, i: int, g: int, out: Outcome) -> RunState:
    """The item's cues from this go on are to come again; the log says which of them had fired."""
    item = compiled.items[i]
    later = {k for x in item.planned.goes[g:] for k in x.cues}
    later |= {k for k, _, _ in item.automatic if item.at_ns[k] >= item.go_at_ns[g]}
    again = [k for k in with_followers(compiled, i, later) if k in state.marks[i]]
    done = sorted(k for k in again if state.marks[i][k].status == "fired")
    if done:
        ids = [item.ids[k] for k in done]
        out.events.append(ev.TakenBack(item=item.planned.item.id, cues=tuple(ids)))
    # What was said for them is to be said again.
    said = state.said - {line for line in state.said if line.startswith(f"{item.planned.item.id}:")}
    walked = {step: at for step, at in state.walked.items() if step[0] != item.planned.item.id}
    return replace(without_marks(state, i, again), said=frozenset(said), walked=walked)


def back(compiled: CompiledShow, state: RunState, now_ns: int, out: Outcome) -> RunState:
    """Take back the last go, with what followed from it and what was left out since.

    If it began an item, the one before goes on.
    """
    if not state.history:
        out.refused = "no go has been given yet, so there is none to take back"
        return state
    was = state.history[-1]
    i, g = was.place.item, was.place.go
    item = compiled.items[i]
    began = was.item != i or was.clock_ns is None
    since = [k for go in item.planned.goes[g:] for k in go.cues]
    cues = list(state.marks[i]) if began else with_followers(compiled, i, since)
    standing_by = {k: m for k, m in state.marks[i].items() if m.status in ("standby", "answered")}
    # By what became of a cue, not when: a clock put right moves what is waited for.
    became = {k: m.status for k, m in was.marks[i].items()}
    undone = [
        k for k in cues
        if k in state.marks[i] and k not in standing_by and state.marks[i][k].status != became.get(k)
    ]  # fmt: skip
    ids = [item.ids[k] for k in sorted(undone)]
    out.events.append(ev.TakenBack(item=item.planned.item.id, cues=tuple(ids)))
    # Who has done it does not stand by for it any more: it is to be called for again, as it is to be given.
    done = {k for k in undone if state.marks[i][k].status == "fired"}
    again = {
        k: mark for k in cues
        if (mark := was.marks[i].get(k)) is not None
        and not (k in done and mark.status in ("standby", "answered"))
    }  # fmt: skip
    # A line may be for cues of several gos. Of one that comes again those are called who do not stand by.
    head = f"{item.planned.item.id}:standby:"
    wait = {head + item.ids[k] for k in standing_by}
    lines = {line for line in state.said if done and line.startswith(head) and line not in wait}
    kept = {k: m for k, m in state.marks[i].items() if k not in cues}
    marks = list(state.marks)
    if began:
        clock = None if was.clock_ns is None else was.clock_ns + state.held_ns - was.held_ns
        marks[was.item] = was.marks[was.item]  # what the start had cut off is to come again
        state = replace(state.by_hand(), item=was.item, clock_ns=clock, turn=None, let_out=frozenset())
        state = replace(state, since_ns=state.item_ns(now_ns) or 0)
    marks[i] = {**kept, **again, **standing_by}
    state = replace(state, marks=tuple(marks), said=state.said - lines)
    return replace(state, place=was.place, history=state.history[:-1])
