"""What a caller does when the night does not go by the plan: taking over, marking, resending, slipping in."""

from typing import Literal

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.clearing import refusal, standing, used_up
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.firing import end_item, end_unplanned, fire, shown
from showcaller.run.marking import open_cues, with_marks
from showcaller.run.notes import note_taken
from showcaller.run.outcome import Outcome
from showcaller.run.runlog import NOT_CLEAR
from showcaller.run.state import RunState, Unplanned
from showcaller.values import replace


def take(compiled: CompiledShow, state: RunState, given: c.TakeOver, now_ns: int, out: Outcome) -> RunState:
    """Fire by hand, now, a cue of the running item that would fire by itself, or should have and did not."""
    i, k = compiled.where.get(given.cue, (-1, -1))
    if i < 0:
        out.refused = f"no cue '{given.cue}' in this show; name one that is in the Book"
    elif i != state.item or state.clock_ns is None:
        out.refused = "only a cue of the item that is on can be fired by hand; jump to its item first"
    elif not compiled.items[i].planned.cues[k].automatic:
        out.refused = "that cue is on a go; give the go instead"
    elif may_be_taken(compiled, state, k) is None:
        out.refused = (
            f"that cue has been {state.marks[i][k].status} already; resend the current state to send it"
        )
    else:
        cue = compiled.items[i].planned.cues[k].cue
        out.refused = refusal(compiled, state, (cue,), False, now_ns)
    if out.refused is not None:
        return state
    fired = fire(compiled, state, i, (k,), now_ns, out, None, now_ns, by="hand")
    state = used_up(compiled, state, (compiled.items[i].planned.cues[k].cue,), out.events)
    return replace(with_marks(state, i, fired), taken_over=True)


def may_be_taken(compiled: CompiledShow, state: RunState, k: int) -> Literal["open", "missed"] | None:
    """Whether a cue of the item that is on can be fired by hand: it is to come, or its moment was missed."""
    if state.clock_ns is None or not compiled.items[state.item].planned.cues[k].automatic:
        return None
    if open_cues(state, state.item, [k]):
        return "open"
    return "missed" if state.marks[state.item][k].status == "missed" else None


def wrong(compiled: CompiledShow, state: RunState, out: Outcome) -> RunState:
    """Mark the last go as wrong, for afterwards; the place stays where it is."""
    if not state.history:
        out.refused = "no go has been given yet, so there is none to mark as wrong"
        return state
    was = state.history[-1].place
    item = compiled.items[was.item]
    cues = [item.ids[k] for k in item.planned.goes[was.go].cues]
    out.events.append(ev.MarkedWrong(item=item.planned.item.id, go=item.go_ids[was.go], cues=tuple(cues)))
    return state


def resend(compiled: CompiledShow, state: RunState, given: c.Resend, now_ns: int, out: Outcome) -> RunState:
    """Send the messages of cues again so that devices are where the place is; no cue is marked or fired."""
    unknown = [cue for cue in given.cues if cue not in compiled.where]
    if unknown or not given.cues:
        out.refused = (
            f"no cue '{unknown[0]}' in this show; name one that is in the Book"
            if unknown
            else "no cue to send again: nothing has fired before this place"
        )
        return state
    for cue in given.cues:
        i, k = compiled.where[cue]
        if compiled.items[i].planned.cues[k].cue.hazard is not None:
            out.refused = (
                f"'{cue}' is hazardous and is only ever sent by its own go; jump to that go, and call it"
            )
            return state
    out.events.append(ev.Resent(cues=tuple(given.cues)))
    for i, k in (compiled.where[cue] for cue in given.cues):
        if k in compiled.items[i].looks:
            out.events.append(
                shown(compiled.items[i], k, (state.item_ns(now_ns) or 0) if i == state.item else 0)
            )
    out.sends += [(*compiled.where[cue], now_ns) for cue in given.cues]
    return state


def insert(compiled: CompiledShow, state: RunState, given: c.Insert, now_ns: int, out: Outcome) -> RunState:
    """Slip in an item that is not in the plan: it lasts until the next item begins."""
    name = given.name.strip()
    if not name:
        out.refused = "the inserted item needs a name, such as: encore"
        return state
    if state.begun_ns is None:
        out.refused = "the show has not begun: put the item into the running order in the Book instead"
        return state
    if state.clock_ns is not None and state.place.item == state.item:
        item = compiled.plan.items[state.item].item.name
        out.refused = f"'{item}' has goes left: give them, skip them, or jump to the next item"
        return state
    state = end_unplanned(state, now_ns, out)
    if state.clock_ns is not None:
        state = end_item(compiled, state, now_ns, out, "an unplanned item began")
    out.events.append(ev.UnplannedStarted(name=name))
    return replace(state, unplanned=Unplanned(name, now_ns), history=())


def walk(
    compiled: CompiledShow, state: RunState, given: c.MarkWalkStep, now_ns: int, out: Outcome
) -> RunState:
    """A step of a walk-on has happened: at the mark, the camera rolls, each leg walked, at the stage."""
    if given.item not in compiled.item_index:
        out.refused = f"no item '{given.item}' in this show; name one that is in the running order"
        return state
    steps = walk_steps(compiled, given.item)
    if given.step not in steps:
        out.refused = f"no step '{given.step}' on this walk; it has {', '.join(steps) or 'none'}"
        return state
    key = (given.item, given.step)
    if key in state.walked:
        out.refused = f"'{given.step}' has been marked already; mark the next step"
        return state
    missing = open_on_leg(compiled, state, given.item, given.step, now_ns) if given.checked else ()
    if missing and not (given.by.strip() and given.reason.strip()):
        out.refused = (
            f"'{given.step}' is not clear: {'; '.join(missing)}; get it, or who lets them walk, and why"
        )
        return state
    at_ns = state.item_ns(now_ns) if compiled.item_index[given.item] == state.item else None
    at_s = None if at_ns is None else at_ns / NS
    out.events.append(ev.WalkStep(item=given.item, step=given.step, at_s=at_s))
    if missing:
        words = f"'{given.step}' walked without clearance ({'; '.join(missing)}): {given.reason.strip()}"
        by = f"let pass by {given.by.strip()}"
        out.events.append(note_taken(compiled, state, f"{words}; {by}", "", NOT_CLEAR, now_ns))
    return replace(state, walked={**state.walked, key: now_ns})


def stop_walk(
    compiled: CompiledShow, state: RunState, given: c.StopWalk, now_ns: int, out: Outcome
) -> RunState:
    """A leg was asked for and is not clear: they wait before it, and the log says for what."""
    missing: tuple[str, ...] = ()
    if given.item not in compiled.item_index:
        out.refused = f"no item '{given.item}' in this show; name one that is in the running order"
    elif (given.item, given.step) in state.walked:
        out.refused = f"'{given.step}' has been marked already; mark the next step"
    else:
        missing = open_on_leg(compiled, state, given.item, given.step, now_ns)
        if not missing:
            out.refused = f"nothing is missing for '{given.step}'; mark it when they walk"
    if out.refused is None:
        out.events.append(ev.WalkStopped(item=given.item, step=given.step, missing=missing, by=given.by))
    return state


def unwalk(state: RunState, given: c.UnmarkWalkStep, out: Outcome) -> RunState:
    """The step marked last on this walk has not happened."""
    seen = [step for item, step in state.walked if item == given.item]
    if not seen or seen[-1] != given.step:
        out.refused = f"'{given.step}' is not the step that was marked last; take back the last one first"
        return state
    out.events.append(ev.WalkStepUndone(item=given.item, step=given.step))
    left = {key: at for key, at in state.walked.items() if key != (given.item, given.step)}
    return replace(state, walked=left)


def open_on_leg(
    compiled: CompiledShow, state: RunState, item_id: str, step: str, now_ns: int
) -> tuple[str, ...]:
    """Each clearance a leg of a walk-on needs and that is not there: ``Lane clear: waiting for Moves``."""
    show, item = compiled.plan.show, compiled.items[compiled.item_index[item_id]].planned.item
    if item.kind != "walk-on" or item.route is None:
        return ()
    route = next(r for r in show.routes if r.id == item.route)
    names = {x.id: x.name for x in show.clearances}
    found = []
    for clearance in (n for leg in route.legs if leg.name == step for n in leg.clearances):
        there, how = standing(compiled, state, clearance, now_ns)
        if not there:
            found.append(f"{names[clearance]}: {how}")
    return tuple(found)


def walk_steps(compiled: CompiledShow, item_id: str) -> tuple[str, ...]:
    """The steps of a walk-on in their order; none for an item without a route."""
    item = compiled.items[compiled.item_index[item_id]].planned.item
    if item.kind != "walk-on" or item.route is None:
        return ()
    route = next(r for r in compiled.plan.show.routes if r.id == item.route)
    camera = ("camera rolls",) if route.camera is not None else ()
    return ("at the mark", *camera, *(leg.name for leg in route.legs), "in place")


def hand_over(state: RunState, given: c.Handover, out: Outcome) -> RunState:
    """Another caller takes the desk."""
    to = given.to.strip()
    if not to or to == state.caller:
        out.refused = "the handover needs a name: type who takes over"
        return state
    out.events.append(ev.HandedOver(from_caller=state.caller, to_caller=to))
    return replace(state, caller=to)
