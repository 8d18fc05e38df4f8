"""Clearances: who must have said yes before a go, and what a refusal says."""

from collections.abc import Iterable

from showcaller.model import Cue, ReadingClearance
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.state import Given, RunState
from showcaller.values import replace


def standing(compiled: CompiledShow, state: RunState, clearance_id: str, now_ns: int) -> tuple[bool, str]:
    """(whether it is there now, how it stands in a few words)."""
    clearance = next(x for x in compiled.plan.show.clearances if x.id == clearance_id)
    given = state.clearances.get(clearance_id)
    if given is None:
        return False, f"waiting for {clearance.position}"
    if given.overridden:
        return True, "overridden"
    if not given.ok:
        return False, f"withdrawn by {given.by or clearance.position}"
    if isinstance(clearance, ReadingClearance):
        age_ns = now_ns - given.at_ns
        if given.value is None or age_ns > clearance.stale_after_s * NS:
            return False, f"reading {_age(age_ns // NS)} old"
        most = clearance.side == "at most"
        if not clearance.holds(given.value):
            beyond = "over" if most else "under"
            return False, f"{given.value:g} {clearance.unit} is {beyond} {clearance.limit:g}"
        if most:
            return True, f"{given.value:g} of {clearance.limit:g} {clearance.unit}"
        return True, f"{given.value:g} {clearance.unit}, {clearance.limit_words}"
    return True, "clear"


def _age(seconds: int) -> str:
    return f"{seconds} s" if seconds < 120 else f"{seconds // 60} min"


def refusal(
    compiled: CompiledShow, state: RunState, cues: Iterable[Cue], confirmed: bool, now_ns: int
) -> str | None:
    """Why these cues may not go now, in one sentence; None if they may."""
    for cue in cues:
        missing = []
        for clearance in cue.needs:
            there, how = standing(compiled, state, clearance, now_ns)
            if not there:
                name = next(x.name for x in compiled.plan.show.clearances if x.id == clearance)
                missing.append(f"'{name}': {how}")
        if missing:
            return f"{_label(compiled, cue)} needs {'; '.join(missing)}"
        if cue.hazard is not None and not confirmed:
            return (
                f"{_label(compiled, cue)} is hazardous ({cue.hazard.kind}): it needs the second key as well"
            )
    return None


def used_up(compiled: CompiledShow, state: RunState, cues: Iterable[Cue], events: list[ev.Event]) -> RunState:
    """After a hazardous cue, or one let go by an override, its yes is used up: the next one asks anew.

    Readings stay until they are stale.
    """
    asking = [cue for cue in cues if cue.needs]
    if not asking:
        return state
    yes = {x.id for x in compiled.plan.show.clearances if not isinstance(x, ReadingClearance)}
    given = dict(state.clearances)
    for cue in asking:
        for clearance in cue.needs:
            word = given.get(clearance)
            if word is None or not (word.overridden or (cue.hazard is not None and clearance in yes)):
                continue
            del given[clearance]
            by = f"used up by {_label(compiled, cue)}"
            events.append(ev.Cleared(clearance=clearance, ok=False, value=None, by=by))
    return state if len(given) == len(state.clearances) else replace(state, clearances=given)


def _label(compiled: CompiledShow, cue: Cue) -> str:
    return f"{compiled.plan.show.department(cue.department).name} {cue.number}"


def clear(
    compiled: CompiledShow, state: RunState, given: c.Clear, now_ns: int
) -> tuple[RunState, str | None]:
    """A clearance given or withdrawn."""
    clearance = next((x for x in compiled.plan.show.clearances if x.id == given.clearance), None)
    if clearance is None:
        return state, f"no clearance '{given.clearance}' in this show; name one from the set-up page"
    if given.ok and isinstance(clearance, ReadingClearance) and given.value is None:
        return state, f"'{clearance.name}' needs its reading in {clearance.unit}: type the figure"
    entry = Given(given.ok, given.value, now_ns, by=given.by)
    return replace(state, clearances={**state.clearances, given.clearance: entry}), None


def override(
    compiled: CompiledShow, state: RunState, given: c.OverrideClearance, now_ns: int
) -> tuple[RunState, str | None]:
    """A clearance passed over, with a reason and a name. Good for the moment, until the next word on it."""
    if given.clearance not in {x.id for x in compiled.plan.show.clearances}:
        return state, f"no clearance '{given.clearance}' in this show; name one from the set-up page"
    if not given.reason.strip() or not given.by.strip():
        return state, "an override needs a reason and the name of who is entitled to give it"
    entry = Given(True, None, now_ns, overridden=True, by=given.by)
    return replace(state, clearances={**state.clearances, given.clearance: entry}), None
