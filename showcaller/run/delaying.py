"""A delay that was announced: until when nothing goes on. It moves no clock and holds nothing. Pure."""

from collections.abc import Iterable

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.outcome import Outcome
from showcaller.run.state import RunState
from showcaller.values import replace

LONGEST_S = 12 * 3600.0
"""What is put off by more is another show's."""


def announce(state: RunState, given: c.AnnounceDelay, out: Outcome) -> RunState:
    """What comes next does not begin before so long from now; 0 takes it back."""
    if not 0 <= given.for_s <= LONGEST_S:
        out.refused = "a delay is 0 minutes to 12 hours; type the minutes, such as 20"
    elif not given.for_s and state.delay_until_ns is None:
        out.refused = "no delay is announced, so there is none to take back"
    else:
        out.events.append(ev.DelayAnnounced(for_s=given.for_s, by=given.by))
    return state


def seen(state: RunState, events: Iterable[ev.Event], now_ns: int) -> RunState:
    """The state with what events tell of a delay: it is over once the show resumes, or an item begins."""
    until_ns = state.delay_until_ns
    for event in events:
        match event:
            case ev.DelayAnnounced():
                until_ns = now_ns + round(event.for_s * NS) if event.for_s else None
            case ev.Resumed() | ev.ItemStarted() | ev.RunEnded():
                until_ns = None
    return state if until_ns == state.delay_until_ns else replace(state, delay_until_ns=until_ns)
