"""What happens by itself: cues whose instant has come, and turns of the form. Pure."""

from showcaller.run.clearing import refusal, used_up
from showcaller.run.compiled import CompiledShow
from showcaller.run.firing import fire, missed
from showcaller.run.marking import automatic_due, cascade, with_marks
from showcaller.run.outcome import Outcome
from showcaller.run.state import Mark, RunState
from showcaller.run.turning import next_turn, turned


def next_due(compiled: CompiledShow, state: RunState) -> int | None:
    """When something next happens by itself, in ns on the clock of the item that is on; None if nothing
    will."""
    due, turn = automatic_due(compiled, state), next_turn(compiled, state)
    found = [*((due[0],) if due is not None else ()), *((turn.at_ns,) if turn is not None else ())]
    return min(found, default=None)


def tick(compiled: CompiledShow, state: RunState, now_ns: int, out: Outcome) -> RunState:
    """Fire what is due by itself, and turn where the form does; name what is overdue, or lacks a clearance it
    needs."""
    while state.phase == "running" and state.clock_ns is not None and not state.stands:
        due = automatic_due(compiled, state)
        at_ns, turn = state.item_ns(now_ns), next_turn(compiled, state)
        # What falls on a section's end belongs to the next one, so the turn comes first.
        comes = turn is not None and at_ns is not None and turn.at_ns <= at_ns
        if turn is not None and comes and (due is None or turn.at_ns <= due[0]):
            state = turned(compiled, state, turn, now_ns, out)
            continue
        if due is None or at_ns is None or due[0] > at_ns:
            break
        due_ns, k = due
        late_ns: int | None = at_ns - due_ns
        if at_ns - due_ns > compiled.late_limit_ns:
            why: str | None = "its time had passed"
        else:
            cue = compiled.items[state.item].planned.cues[k].cue
            late_ns, why = None, refusal(compiled, state, (cue,), False, now_ns)
        if why is not None:
            out.events.append(missed(compiled, state.item, k, late_ns, why))
            state = with_marks(state, state.item, {k: Mark("missed", at_ns)})
            state = cascade(compiled, state, state.item, [k], out.events)
        else:
            when_ns = now_ns - (at_ns - due_ns)
            fired = fire(compiled, state, state.item, (k,), now_ns, out, None, when_ns, "itself")
            state = used_up(compiled, state, (cue,), out.events)
            state = with_marks(state, state.item, fired)
    return state
