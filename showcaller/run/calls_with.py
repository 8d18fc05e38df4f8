"""Which desk has the calls. Pure.

One desk calls; the others watch. A desk that watches may write, clear, mark a fault, read a page aloud and
play the wall; whatever moves the place, the clock or the outlets is the calling desk's. A run that no desk
opened (a rehearsal without a window, an older log) is nobody's, and then nothing is refused for it.
"""

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.outcome import Outcome
from showcaller.run.rights import may
from showcaller.run.state import CallsRequest, RunState
from showcaller.values import replace

FREE = (
    c.WriteNote, c.OpenIncident, c.WriteIncident, c.Fault, c.Clear, c.OverrideClearance, c.PutLook,
    c.PlayLayer, c.BackToPlan, c.MarkWalkStep, c.StopWalk, c.UnmarkWalkStep, c.AskForCalls, c.TakeCalls,
    c.MarkMoment, c.AnnounceDelay, c.OpenPage, c.ClosePage, c.TickLine, c.UntickLine, c.StandBy,
)  # fmt: skip
"""What a desk without the calls may do as well."""


def admitted(state: RunState, desk: str, command: c.Command, seat: str = "") -> c.Command | c.NotCalling:
    """The command, or what takes its place when it comes from a desk (its id) that does not have the calls,
    or from a ``seat`` on another machine (empty for this one) that has no right to it."""
    if seat and not may(seat, desk, command):
        return c.NotCalling(command=command.kind, desk=desk, seat=seat)
    if not state.calling or desk == state.calling or isinstance(command, FREE):
        return command
    return c.NotCalling(command=command.kind, desk=desk)


def refused(state: RunState) -> str:
    """What a desk is told that watches."""
    return f"{state.caller or 'another desk'} has the calls; this desk watches: ask for the calls first"


def ask(state: RunState, given: c.AskForCalls, out: Outcome) -> RunState:
    """A desk would have the calls. Nothing changes hands by asking."""
    if not given.desk or not given.caller.strip():
        out.refused = "asking for the calls needs a name: type who would call"
    elif given.desk == state.calling:
        out.refused = "this desk has the calls already; nothing to do"
    if out.refused is not None:
        return state
    out.events.append(ev.CallsAsked(desk=given.desk, caller=given.caller.strip()))
    return replace(state, asking=CallsRequest(given.desk, given.caller.strip()))


def give(state: RunState, given: c.GiveCalls, out: Outcome) -> RunState:
    """The desk that has the calls hands them to the one that asked for them."""
    asking = state.asking
    if asking is None or asking.desk != given.desk:
        out.refused = "that desk has not asked for the calls; it asks first, then hand them over"
        return state
    return _with(state, asking.desk, asking.caller, "handed over", out)


def take(state: RunState, given: c.TakeCalls, out: Outcome) -> RunState:
    """A desk takes the calls: those of a desk that is gone, or with a name and a reason."""
    caller = given.caller.strip()
    if not given.desk or not caller:
        out.refused = "taking the calls needs a name: type who calls now"
    elif given.desk == state.calling:
        out.refused = "this desk has the calls already; nothing to do"
    elif state.calling and not given.gone and not given.reason.strip():
        who = state.caller or "another desk"
        out.refused = f"{who} has the calls: ask for them, or give the reason for taking them"
    if out.refused is not None:
        return state
    why = given.reason.strip() or ("its desk was gone" if state.calling else "nobody had them")
    return _with(state, given.desk, caller, why, out)


def _with(state: RunState, desk: str, caller: str, why: str, out: Outcome) -> RunState:
    out.events.append(
        ev.CallsWith(desk=desk, caller=caller, from_desk=state.calling, from_caller=state.caller, why=why)
    )
    return replace(state, calling=desk, caller=caller, asking=None)
