"""Taking a run up again: what is missing, what is in doubt, and what is asked about it. Pure.

Nothing is fired again by recovery. What was fired and is not known to have left is named, and a person says
whether it is sent now or left. Where records are missing the show is held, and what the whole ones behind the
gap tell is believed: what they say was fired counts as fired, and the place stands behind it.
"""

from collections.abc import Iterable, Mapping

from showcaller.run import commands as c
from showcaller.run import delaying, incidents
from showcaller.run import events as ev
from showcaller.run.carrying import carried
from showcaller.run.changing import edition
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.firing import after, end_item
from showcaller.run.following import lost_touch
from showcaller.run.marking import with_marks, without_marks
from showcaller.run.outcome import Outcome
from showcaller.run.paging import recalled
from showcaller.run.state import Doubt, Mark, Place, RunState, Status
from showcaller.values import replace

_STRANGE = "a change of the show is missing too: look at the running order, and make it again"
_STATUS: Mapping[type, Status] = {ev.Fired: "fired", ev.Skipped: "skipped", ev.Missed: "missed"}


def recovered(
    compiled: CompiledShow, state: RunState, given: c.Recovered, now_ns: int, out: Outcome
) -> RunState:
    """The engine is back. The show is held where no clock can be trusted across the gap (the machine was
    restarted) and where a part of the log is missing."""
    before, strange = state.place, False
    for t_ns, events in given.heard or ():
        for event in events:
            if isinstance(event, ev.ShowChanged):
                made = _changed_again(compiled, state, before, event, t_ns)
                strange |= made is None
                if made is not None:
                    compiled, state, before = made
                    out.compiled = compiled
            elif _is_known(compiled, event):
                state = delaying.seen(_recall(compiled, state, event, t_ns), (event,), t_ns)
            else:
                strange = True
        out.events += events
    doubts = [Doubt(*pair.split("\n", 1)) for pair in given.doubts]
    if given.missing or given.why:
        doubts += _passed_over(compiled, state, before, doubts)
    i = state.item
    fired = sorted((m.at_ns, k) for k, m in state.marks[i].items() if m.status == "fired")
    last = [compiled.items[i].ids[k] for at_ns, k in fired if at_ns == fired[-1][0]]
    out.events.append(ev.EngineBack(gap_s=given.gap_ns / NS, last_cues=tuple(last)))
    if given.missing or given.why:
        why = "; ".join(filter(None, (given.why, _STRANGE if strange else "")))
        out.events.append(ev.LogGap(missing=given.missing, why=why))
    if doubts:
        cues = list(dict.fromkeys(d.cue for d in doubts))
        out.events.append(ev.CuesDoubtful(cues=tuple(cues)))
    state = replace(lost_touch(state), doubts=tuple(dict.fromkeys((*state.doubts, *doubts))))
    if given.missing or given.why:
        # What was cleared before a gap may have been withdrawn in it.
        state = replace(state, clearances={})
    if state.phase != "running":
        return state
    why = given.why or ("a part of the log is missing" if given.missing else "")
    if given.rebooted:
        why = why or "the machine was restarted"
    return hold(compiled, state, why, now_ns, out) if why else state


def _changed_again(
    compiled: CompiledShow, state: RunState, before: Place, event: ev.ShowChanged, t_ns: int
) -> tuple[CompiledShow, RunState, Place] | None:
    """A change of the show that is told behind a gap, made again: the show, the state and the place where the
    log broke, all as they are in it. None if it cannot be made."""
    again = c.ChangeTonight(event.change, event.words, event.by) if event.change is not None else None
    after = edition(compiled, again) if again is not None else ""
    if isinstance(after, str):
        return None
    there = carried(compiled, after, replace(state, place=before), t_ns).place
    return after, carried(compiled, after, state, t_ns), there


def _is_known(compiled: CompiledShow, event: ev.Event) -> bool:
    """Whether all that an event names is in the show: a change that lay in the gap may have brought it."""
    item, cue = getattr(event, "item", None), getattr(event, "cue", None)
    cues = (*getattr(event, "cues", ()), *((cue,) if cue is not None else ()))
    return (not item or item in compiled.item_index) and all(one in compiled.where for one in cues)


def hold(compiled: CompiledShow, state: RunState, reason: str, now_ns: int, out: Outcome) -> RunState:
    """Nothing fires until resumed."""
    at_ns = state.item_ns(now_ns)
    item = compiled.plan.items[state.item].item.id
    at_s = None if at_ns is None else at_ns / NS
    out.events.append(ev.Held(reason=reason, item=item, at_s=at_s))
    return replace(state, phase="held", held_at_ns=now_ns, hold_reason=reason)


def _passed_over(
    compiled: CompiledShow, state: RunState, before: Place, known: Iterable[Doubt]
) -> list[Doubt]:
    """Cues of the gos between where the log broke and where it goes on, whose fate nobody knows."""
    named = {d.cue for d in known}
    found: list[Doubt] = []
    i, g = before.item, before.go
    while (i, g) < (state.place.item, state.place.go) and i < len(compiled.items):
        item = compiled.items[i]
        for k in item.planned.goes[g].cues:
            if k not in state.marks[i] and item.ids[k] not in named:
                found += [Doubt(item.ids[k], outlet) for outlet in item.outlets[k]]
        place = after(compiled, i, g)
        i, g = place.item, place.go
    return found


def _recall(compiled: CompiledShow, state: RunState, event: ev.Event, t_ns: int) -> RunState:
    """The state with what one event of a whole record behind a gap tells."""
    match event:
        case ev.RunStarted():
            return replace(
                state,
                phase="running",
                caller=event.caller,
                all_muted=event.muted,
                calling=event.desk or "",
            )
        case ev.CallsWith():
            return replace(state, caller=event.caller, calling=event.desk, asking=None)
        case ev.RunEnded():
            return replace(state, phase="ended", pages={})
        case ev.HandedOver():
            return replace(state, caller=event.to_caller)
        case ev.Muted():
            return _recall_muted(state, event)
        case ev.ItemStarted():
            i = compiled.item_index[event.item]
            begun_ns = t_ns if state.begun_ns is None else state.begun_ns
            clock_ns = t_ns - round(event.at_s * NS)
            return replace(state.by_hand(), item=i, clock_ns=clock_ns, begun_ns=begun_ns, held_at_ns=None)
        case ev.ItemEnded() if state.clock_ns is not None:
            return end_item(compiled, state, t_ns, Outcome(), "")
        case ev.ItemSkipped():
            return _no_earlier(state, Place(compiled.item_index[event.item] + 1, 0))
        case ev.Fired() | ev.Skipped() | ev.Missed():
            return _recall_cue(compiled, state, event)
        case ev.TakenBack():
            i = compiled.item_index[event.item]
            return without_marks(state, i, [compiled.where[cue][1] for cue in event.cues])
        case ev.Held():
            return replace(state, phase="held", held_at_ns=t_ns, hold_reason=event.reason)
        case ev.Resumed():
            held_ns = 0 if event.shifted is False else round(event.held_s * NS)
            shifted_ns = None if state.clock_ns is None else state.clock_ns + held_ns
            return replace(state, phase="running", held_at_ns=None, clock_ns=shifted_ns, hold_reason="")
        case ev.LineSaid():
            return replace(state, said=state.said | {event.line})
        case ev.LineUnsaid():
            for cue in event.cues:
                i, k = compiled.where.get(cue, (0, -1))
                state = without_marks(state, i, [k])
            return replace(state, said=state.said - {event.line})
    return incidents.recalled(recalled(state, event, t_ns), event, t_ns)


def _recall_muted(state: RunState, event: ev.Muted) -> RunState:
    if event.outlet is None:
        return replace(state, all_muted=event.muted)
    one = frozenset({event.outlet})
    return replace(state, muted=state.muted | one if event.muted else state.muted - one)


def _recall_cue(
    compiled: CompiledShow, state: RunState, event: ev.Fired | ev.Skipped | ev.Missed
) -> RunState:
    if event.cue not in compiled.where:
        return state
    i, k = compiled.where[event.cue]
    at_ns = round(event.actual_s * NS) if isinstance(event, ev.Fired) else 0
    state = with_marks(state, i, {k: Mark(_STATUS[type(event)], at_ns)})
    if isinstance(event, ev.Fired) and event.go in compiled.items[i].go_ids:
        return _no_earlier(state, after(compiled, i, compiled.items[i].go_ids.index(event.go)))
    return state


def _no_earlier(state: RunState, place: Place) -> RunState:
    """A place never goes back by what is recalled: a go that may have been given is not offered again."""
    here = (state.place.item, state.place.go)
    return state if here >= (place.item, place.go) else replace(state, place=place)


def settle(compiled: CompiledShow, state: RunState, given: c.Settle, now_ns: int, out: Outcome) -> RunState:
    """A person's word on what is in doubt: send it now, or leave it."""
    outlets = tuple(d.outlet for d in state.doubts if d.cue == given.cue)
    if not outlets:
        out.refused = "that cue is not in doubt any more; nothing to do"
        return state
    if given.send and state.phase != "running":
        out.refused = (
            "the show is on hold: resume first, or leave the cue unsent"
            if state.phase == "held"
            else ("no show is in progress, so nothing can be sent; leave the cue unsent")
        )
        return state
    if given.send and given.cue not in compiled.where:
        out.refused = "that cue was cut tonight, so it cannot be sent; leave it unsent"
        return state
    if given.send:
        i, k = compiled.where[given.cue]
        if compiled.items[i].planned.cues[k].cue.hazard:
            out.refused = (
                "a hazardous cue is never sent afterwards: speak to its operator, then leave the cue unsent"
            )
            return state
        out.sends.append((i, k, now_ns))
        out.only[i, k] = frozenset(outlets)
    out.events.append(ev.DoubtSettled(cue=given.cue, sent=given.send))
    return replace(state, doubts=tuple(d for d in state.doubts if d.cue != given.cue))
