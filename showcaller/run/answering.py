"""Who stands by: departments' answers, as the caller keys them or as they give them themselves. Pure."""

from collections.abc import Collection

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import CompiledShow
from showcaller.run.marking import with_marks
from showcaller.run.outcome import Outcome
from showcaller.run.state import Mark, RunState


def answer(compiled: CompiledShow, state: RunState, given: c.Answer, out: Outcome) -> RunState:
    """The caller has heard these departments; empty means all that were asked."""
    state = _answered(compiled, state, given.departments, out, None)
    if not out.events:
        out.refused = _nobody_asked(compiled, state)
    return state


def stand_by(compiled: CompiledShow, state: RunState, given: c.StandBy, out: Outcome) -> RunState:
    """A department says so itself, and for itself alone."""
    names = {d.id: d.name for d in compiled.plan.show.departments}
    who = given.who.strip()
    if given.department not in names:
        out.refused = f"no department '{given.department[:40]}' in this show; choose your position again"
    elif not who:
        out.refused = "standing by needs the name of who says it; choose your position again"
    if out.refused is not None:
        return state
    state = _answered(compiled, state, (given.department,), out, who)
    if not out.events:
        out.refused = f"no standby waits for {names[given.department]}; nothing to acknowledge"
    return state


def _answered(
    compiled: CompiledShow, state: RunState, departments: Collection[str], out: Outcome, who: str | None
) -> RunState:
    """Marks what was asked of these departments (empty: of all) as answered, and tells it."""
    answered: list[str] = []
    found: set[str] = set()
    for i in range(state.item, len(compiled.items)):  # a standby may be for an item still to come
        for k, mark in state.marks[i].items():
            department = compiled.items[i].planned.cues[k].cue.department
            if mark.status == "standby" and (not departments or department in departments):
                state = with_marks(state, i, {k: Mark("answered", mark.at_ns)})
                answered.append(compiled.items[i].ids[k])
                found.add(department)
    if answered:
        out.events.append(ev.Answered(departments=tuple(sorted(found)), cues=tuple(answered), who=who))
    return state


def _nobody_asked(compiled: CompiledShow, state: RunState) -> str:
    """Why an answer answers nothing: who of the next go has not been asked, if anybody has not."""
    words, place = "everybody who was asked is standing by; nothing to acknowledge", state.place
    if place.item >= len(compiled.items):
        return words
    item, marks = compiled.items[place.item].planned, state.marks[place.item]
    asked_not = [item.cues[k].cue.department for k in item.goes[place.go].cues if k not in marks]
    names = [compiled.plan.show.department(d).name for d in dict.fromkeys(asked_not)]
    if not names:
        return words
    return f"{', '.join(names)} {'was' if len(names) == 1 else 'were'} not asked yet: call the standby first"
