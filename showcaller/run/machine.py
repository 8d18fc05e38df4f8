"""The run's state machine: ``step(compiled, state, input, now_ns) -> (state, outcome)``. Pure.

What holds, whatever comes in: a cue fires at most once unless a go was taken back or the place was put back,
which the log says; nothing fires while held; a hazardous cue fires only by a confirmed go; a go fires only
what the person saw as next. Recovery is the journal's inputs put through the same function.
"""

from collections.abc import Mapping
from typing import assert_never

from showcaller.run import (
    answering,
    calls_with,
    changing,
    delaying,
    firing,
    following,
    incidents,
    interventions,
    paging,
    places,
    playing,
    rights,
    terms,
    ticking,
    turning,
    wall,
)
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.clearing import clear, override
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.following import align
from showcaller.run.marking import with_marks, without_marks
from showcaller.run.notes import note_taken
from showcaller.run.outcome import Outcome
from showcaller.run.recovering import hold, recovered, settle
from showcaller.run.resyncing import resync
from showcaller.run.runlog import INCIDENTS, MOMENTS
from showcaller.run.state import Mark, Place, RunState
from showcaller.values import replace

_ALWAYS = (
    c.WriteNote,
    c.OpenIncident,
    c.WriteIncident,
    c.Fault,
    c.Tick,
    c.Recovered,
    c.Mute,
    c.Clear,
    c.OverrideClearance,
    c.Report,
    c.Timecode,
    c.Settle,
    c.NotCalling,
    c.RaiseTerm,
    c.HigherTerm,
    c.HeardApart,
    c.UnknownInput,
)
_HELD_BACK = (c.Report, c.Recovered, c.RaiseTerm, c.HigherTerm, c.WriteNote, c.UnknownInput)
"""What an engine takes that another machine has taken over from."""
_MOVES = (c.Go, c.Resume, c.Jump, c.Locate, c.Back, c.Insert, c.Follow, c.Recovered)
"""After these the clock that is on may be another, or led by another."""


def first_state(compiled: CompiledShow) -> RunState:
    """Before anything: the first item is cued up and its start is next."""
    empty: tuple[Mapping[int, Mark], ...] = tuple({} for _ in compiled.items)
    muted = frozenset(o.id for o in compiled.plan.show.outlets if o.muted)
    return RunState("idle", Place(0, 0), 0, None, empty, muted=muted)


def step(compiled: CompiledShow, state: RunState, given: c.Input, now_ns: int) -> tuple[RunState, Outcome]:
    """Apply one input at ``now_ns``. A refused input leaves the state as it was and says why.

    The state goes with ``compiled``, or with the outcome's own where the show was changed.
    """
    out = Outcome()
    out.refused = _not_now(state, given)
    if out.refused is None:
        state = _apply(compiled, state, given, now_ns, out)
        if out.refused is None and isinstance(given, _MOVES):
            state = align(compiled, state, now_ns, out)
        state = playing.seen(state, out.events)
        if not isinstance(given, c.Recovered):  # which tells of instants of its own
            state = delaying.seen(state, out.events, now_ns)
    if out.refused is not None:
        command = given.command if isinstance(given, c.NotCalling) else given.kind
        out.events.append(ev.CommandRefused(command=command, why=out.refused))
    running = state.phase == "running" and not state.held_back
    if running and state.clock_ns is not None and not state.stands:
        due_ns = ticking.next_due(out.compiled or compiled, state)
        out.next_ns = None if due_ns is None else state.clock_ns + due_ns
    return state, out


def _not_now(state: RunState, given: c.Input) -> str | None:
    """Why this phase of the run has no room for the input."""
    if state.held_back and not isinstance(given, _HELD_BACK):
        return terms.held_back(state)
    if isinstance(given, _ALWAYS):
        return None
    if state.phase == "ended":
        return "the show has ended: open another to go on"
    if isinstance(given, c.Start):
        return None if state.phase == "idle" else "the show is open already"
    if state.phase == "idle" and not isinstance(given, c.End):
        return "no show is open: open one first"
    if state.phase == "held" and isinstance(
        given, c.Go | c.TakeOver | c.Locate | c.Resync | c.TimecodeAnswer | c.PlaySection
    ):
        return "the show is on hold: resume first"
    return None


def _apply(compiled: CompiledShow, state: RunState, given: c.Input, now_ns: int, out: Outcome) -> RunState:
    match given:
        case c.Go():
            return firing.go(compiled, state, given, now_ns, out)
        case c.Tick():
            return ticking.tick(compiled, state, now_ns, out)
        case c.Standby():
            return _say(compiled, state, given, now_ns, out)
        case c.Unsay():
            return _unsay(compiled, state, given, out)
        case c.Answer():
            return answering.answer(compiled, state, given, out)
        case c.StandBy():
            return answering.stand_by(compiled, state, given, out)
        case c.Hold():
            return _hold(compiled, state, given, now_ns, out)
        case c.Resume():
            return _resume(state, now_ns, out, given.as_if)
        case c.Skip():
            return places.skip(compiled, state, given, now_ns, out)
        case c.Jump():
            return places.jump(compiled, state, given, now_ns, out)
        case c.Locate():
            return places.locate(compiled, state, given, now_ns, out)
        case c.Back():
            return places.back(compiled, state, now_ns, out)
        case c.WriteNote():
            return _note(compiled, state, given, now_ns, out)
        case c.OpenIncident():
            return incidents.open_incident(compiled, state, given, now_ns, out)
        case c.WriteIncident():
            return incidents.write_incident(state, given, now_ns, out)
        case c.Clear():
            state, out.refused = clear(compiled, state, given, now_ns)
            if out.refused is None:
                out.events.append(
                    ev.Cleared(clearance=given.clearance, ok=given.ok, value=given.value, by=given.by)
                )
            return state
        case c.OverrideClearance():
            state, out.refused = override(compiled, state, given, now_ns)
            if out.refused is None:
                out.events.append(ev.Overridden(clearance=given.clearance, reason=given.reason, by=given.by))
            return state
        case c.Mute():
            return _mute(compiled, state, given, out)
        case c.TakeOver():
            return interventions.take(compiled, state, given, now_ns, out)
        case c.Wrong():
            return interventions.wrong(compiled, state, out)
        case c.Resend():
            return interventions.resend(compiled, state, given, now_ns, out)
        case c.Insert():
            return interventions.insert(compiled, state, given, now_ns, out)
        case c.MarkWalkStep():
            return interventions.walk(compiled, state, given, now_ns, out)
        case c.StopWalk():
            return interventions.stop_walk(compiled, state, given, now_ns, out)
        case c.UnmarkWalkStep():
            return interventions.unwalk(state, given, out)
        case c.Handover():
            return interventions.hand_over(state, given, out)
        case c.AskForCalls():
            return calls_with.ask(state, given, out)
        case c.GiveCalls():
            return calls_with.give(state, given, out)
        case c.TakeCalls():
            return calls_with.take(state, given, out)
        case c.NotCalling():
            seat = given.seat
            out.refused = rights.refused(seat, given.command) if seat else calls_with.refused(state)
            return state
        case c.PutLook():
            return wall.put_look(compiled, state, given, now_ns, out)
        case c.PlayLayer():
            return playing.play(compiled, state, given, now_ns, out)
        case c.BackToPlan():
            return playing.to_plan(compiled, state, given, now_ns, out)
        case c.Fault():
            return wall.fault(compiled, state, given, now_ns, out)
        case c.Resync():
            return resync(compiled, state, given, now_ns, out)
        case c.AnnounceDelay():
            return delaying.announce(state, given, out)
        case c.MarkMoment():
            return _moment(state, given, now_ns, out)
        case c.PlaySection():
            return turning.form(compiled, state, given, now_ns, out)
        case c.Follow():
            return following.follow(compiled, state, given, now_ns, out)
        case c.TimecodeAnswer():
            return following.answer(compiled, state, given, now_ns, out)
        case c.Timecode():
            return following.heard(compiled, state, given, now_ns, out)
        case c.ChangeTonight():
            return changing.change(compiled, state, given, now_ns, out)
        case c.OpenPage():
            return paging.open_page(compiled, state, given, now_ns, out)
        case c.ClosePage():
            return paging.close_page(compiled, state, given, now_ns, out)
        case c.TickLine():
            return paging.tick_line(compiled, state, given, now_ns, out)
        case c.UntickLine():
            return paging.untick_line(compiled, state, given, out)
        case c.Start():
            return _start(compiled, state, given, out)
        case c.End():
            return _end(compiled, state, given, now_ns, out)
        case c.Recovered():
            return recovered(compiled, state, given, now_ns, out)
        case c.RaiseTerm():
            return terms.raise_term(compiled, state, given, now_ns, out)
        case c.HigherTerm():
            return terms.higher_term(state, given, out)
        case c.HeardApart():
            return terms.heard_apart(compiled, state, given, now_ns, out)
        case c.Settle():
            return settle(compiled, state, given, now_ns, out)
        case c.Report():
            out.events.append(given.event)
            return state
        case c.UnknownInput():  # of a later version: an engine opens no such run, a desk sees what came of it
            return state
        case _:
            assert_never(given)


def _start(compiled: CompiledShow, state: RunState, given: c.Start, out: Outcome) -> RunState:
    out.events.append(
        ev.RunStarted(
            show=compiled.plan.show.id,
            digest=given.digest,
            muted=given.muted,
            caller=given.caller,
            simulated=given.simulated,
            desk=given.desk or None,
        )
    )
    return replace(state, phase="running", caller=given.caller, all_muted=given.muted, calling=given.desk)


def _say(compiled: CompiledShow, state: RunState, given: c.Standby, now_ns: int, out: Outcome) -> RunState:
    unknown = [cue for cue in given.cues if cue not in compiled.where]
    if unknown or not given.cues:
        out.refused = (
            f"no cue '{unknown[0]}' in this show; name one that is in the Book"
            if unknown
            else "a standby needs the cues it is for"
        )
    elif given.what not in ("standby", "warning"):
        out.refused = f"'{given.what}' cannot be called; call warning or standby"
    elif given.line in state.said:
        out.refused = "that line has been called already; the next one is in the box"
    if out.refused is not None:
        return state
    state = replace(state, said=state.said | {given.line})
    for cue in given.cues if given.what == "standby" else ():
        i, k = compiled.where[cue]
        if k not in state.marks[i]:
            at_ns = (state.item_ns(now_ns) or 0) if i == state.item else 0
            state = with_marks(state, i, {k: Mark("standby", at_ns)})
    out.events.append(
        ev.LineSaid(
            what=given.what,
            item=compiled.plan.items[compiled.where[given.cues[0]][0]].item.id,
            line=given.line,
            cues=tuple(given.cues),
        )
    )
    return state


def _unsay(compiled: CompiledShow, state: RunState, given: c.Unsay, out: Outcome) -> RunState:
    unknown = [cue for cue in given.cues if cue not in compiled.where]
    if unknown:
        out.refused = f"no cue '{unknown[0]}' in this show; name one that is in the Book"
    elif given.line not in state.said:
        out.refused = "that line has not been called, so there is nothing to take back"
    if out.refused is not None:
        return state
    freed = []
    for cue in dict.fromkeys(given.cues):
        i, k = compiled.where[cue]
        if k in state.marks[i] and state.marks[i][k].status in ("standby", "answered"):
            state = without_marks(state, i, [k])
            freed.append(cue)
    out.events.append(ev.LineUnsaid(line=given.line, cues=tuple(freed)))
    return replace(state, said=state.said - {given.line})


def _hold(compiled: CompiledShow, state: RunState, given: c.Hold, now_ns: int, out: Outcome) -> RunState:
    if state.phase == "held":
        if not given.reason or state.hold_reason:
            out.refused = "the show is on hold already: resume, or give the reason"
            return state
        # Held first, the reason when there is a hand free to type it.
        out.events.append(ev.HoldReason(reason=given.reason))
        return replace(state, hold_reason=given.reason)
    return hold(compiled, state, given.reason, now_ns, out)


def _resume(state: RunState, now_ns: int, out: Outcome, as_if: bool = False) -> RunState:
    if state.held_at_ns is None:
        out.refused = "the show is not on hold; nothing to resume"
        return state
    held_ns = now_ns - state.held_at_ns
    out.events.append(
        ev.Resumed(held_s=held_ns / NS, reason=state.hold_reason, shifted=False if as_if else None)
    )
    if as_if:
        return replace(state, phase="running", held_at_ns=None, hold_reason="")
    clock = None if state.clock_ns is None else state.clock_ns + held_ns
    return replace(
        state,
        phase="running",
        clock_ns=clock,
        held_at_ns=None,
        hold_reason="",
        held_ns=state.held_ns + held_ns,
    )


def _note(compiled: CompiledShow, state: RunState, given: c.WriteNote, now_ns: int, out: Outcome) -> RunState:
    if not given.text.strip():
        out.refused = "a note needs a word or two: type what happened"
        return state
    if given.about and given.about not in INCIDENTS:
        out.refused = f"an incident is one of {', '.join(INCIDENTS)}; not '{given.about}'"
        return state
    if given.to and given.to not in {d.id for d in compiled.plan.show.departments}:
        out.refused = f"no department '{given.to}' in this show; name one from the set-up page"
        return state
    out.events.append(
        note_taken(compiled, state, given.text.strip(), given.to, given.about, now_ns, given.ago_s)
    )
    return state


def _moment(state: RunState, given: c.MarkMoment, now_ns: int, out: Outcome) -> RunState:
    if given.what not in MOMENTS:
        out.refused = f"'{given.what[:20]}' is no moment of the evening; mark {' or '.join(MOMENTS)}"
    elif state.begun_ns is None:
        out.refused = f"the show has not begun, so there is no {given.what} yet"
    elif given.undo and given.what not in state.moments:
        out.refused = f"the {given.what} was not marked, so there is nothing to take back"
    if out.refused is not None:
        return state
    out.events.append(ev.MomentMarked(what=given.what, undone=True if given.undo else None))
    kept = {what: at_ns for what, at_ns in state.moments.items() if what != given.what}
    return replace(state, moments=kept if given.undo else {**kept, given.what: now_ns})


def _mute(compiled: CompiledShow, state: RunState, given: c.Mute, out: Outcome) -> RunState:
    if given.outlet is None:
        state = replace(state, all_muted=given.muted)
    elif given.outlet in {o.id for o in compiled.plan.show.outlets}:
        one = {given.outlet}
        state = replace(state, muted=state.muted | one if given.muted else state.muted - one)
    else:
        out.refused = f"no output '{given.outlet}' in this show; name one from the set-up page"
        return state
    out.events.append(ev.Muted(outlet=given.outlet, muted=given.muted))
    return state


def _end(compiled: CompiledShow, state: RunState, given: c.End, now_ns: int, out: Outcome) -> RunState:
    if state.held_at_ns is not None:
        state = _resume(state, now_ns, out)
    state = firing.end_unplanned(state, now_ns, out)
    if state.clock_ns is not None:
        state = firing.end_item(compiled, state, now_ns, out, "the run ended")
    state = paging.close_all(compiled, state, now_ns, out)
    show_s = None if state.begun_ns is None else (now_ns - state.begun_ns) / NS
    out.events.append(ev.RunEnded(why=given.why, show_s=show_s))
    return replace(state, phase="ended")
