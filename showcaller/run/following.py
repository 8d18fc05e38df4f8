"""The song's clock led by timecode: when it follows, when it stands, when it asks. Pure.

Timecode moves the clock of a song that has been started and has a timecode start; it starts nothing and fires
nothing. What fires by itself is fired by that clock, so a cue's mark is all that is needed for it never to
fire twice, whatever the code does.
"""

from fractions import Fraction
from typing import get_args

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.firing import leave_out
from showcaller.run.marking import open_cues, with_marks
from showcaller.run.outcome import Outcome
from showcaller.run.state import Lead, Mark, RunState, TimecodeMode, TimecodeWord
from showcaller.timing.timecode import frame_at, label
from showcaller.values import Struct, replace

NEAR_START_NS = 10 * NS
"""A song's start and its code's may lie this far apart without a question: the go and the playback are two
people's hands (common practice, no source)."""

AFTER_END_NS = 60 * NS
"""Code is taken to belong to a song until this long after its planned end."""


class Verdict(Struct, frozen=True):
    """Who should lead the clock now, and why; ``clock_ns`` is where the code would put the clock's zero."""

    lead: Lead
    clock_ns: int | None = None
    words: str = ""


def verdict(compiled: CompiledShow, state: RunState, now_ns: int) -> Verdict:
    """What the last word on timecode means for the clock of the item that is on."""
    item, timecode, word = compiled.items[state.item], compiled.timecode, state.timecode
    if not state.follows:
        return Verdict("hand", words="taken over by hand")
    if timecode is None or item.timecode_ns is None or state.clock_ns is None or word.mode == "waiting":
        return Verdict("hand", words="no timecode yet: the clock runs by itself")
    shown_ns = state.item_ns(now_ns) or 0
    lost: Lead = "stands" if state.led and shown_ns < item.length_ns else "hand"
    if word.zero_ns is None or word.mode in ("holding", "reversing"):
        return Verdict(lost, words="no timecode to follow")
    at_ns = nearest(now_ns - word.zero_ns - item.timecode_ns, 0, timecode.day_ns)
    if not -NEAR_START_NS <= at_ns <= item.length_ns + AFTER_END_NS:
        return Verdict(lost, words="timecode is not in this song")
    clock_ns = now_ns - at_ns
    if state.declined_ns is not None and abs(word.zero_ns - state.declined_ns) <= timecode.ask_over_ns:
        return Verdict("hand", words="the jump is not followed")
    # Back where the clock would be had nothing happened, or where it stopped: either is the place.
    off_ns = min(abs(clock_ns - state.clock_ns), abs(at_ns - shown_ns))
    if off_ns <= (timecode.ask_over_ns if state.led else max(timecode.ask_over_ns, NEAR_START_NS)):
        return Verdict("timecode", clock_ns, "the clock follows timecode")
    ahead = "ahead of" if at_ns > shown_ns else "behind"
    return Verdict("asks", clock_ns, f"timecode is {_s(at_ns - shown_ns)} s {ahead} the clock: follow it?")


def settled(compiled: CompiledShow, state: RunState, now_ns: int) -> bool:
    """Whether :func:`align` would change nothing."""
    if compiled.timecode is None or state.phase != "running" or state.clock_ns is None:
        return True
    return not _changes(compiled, state, verdict(compiled, state, now_ns))


def _changes(compiled: CompiledShow, state: RunState, found: Verdict) -> bool:
    if found.lead != state.lead:
        return True
    if (
        found.lead != "timecode"
        or found.clock_ns is None
        or state.clock_ns is None
        or compiled.timecode is None
    ):
        return False
    # Less than half a frame is not worth a record: no receiver of the code could tell.
    return 2 * abs(found.clock_ns - state.clock_ns) >= compiled.timecode.frame_ns


def align(compiled: CompiledShow, state: RunState, now_ns: int, out: Outcome) -> RunState:
    """Let the clock be led as it should be; does nothing while nothing runs, or where nothing changes."""
    if compiled.timecode is None or state.phase != "running" or state.clock_ns is None:
        return state
    found = verdict(compiled, state, now_ns)
    if not _changes(compiled, state, found):
        return state
    if found.lead in ("stands", "asks"):
        stood_ns = state.item_ns(now_ns) if state.led else None
        out.events.append(_event(compiled, state, now_ns, found.lead, None, found.words))
        return replace(state, lead=found.lead, stood_at_ns=stood_ns)
    first = not state.led
    to_ns = state.clock_ns if found.clock_ns is None or found.lead == "hand" else found.clock_ns
    state, shift_ns = moved(compiled, state, to_ns, now_ns)
    what: ev.TimecodeWhat = "followed" if found.lead == "timecode" else "by hand"
    out.events.append(_event(compiled, state, now_ns, what, shift_ns, found.words))
    state = replace(state, lead=found.lead)
    if found.lead == "timecode" and first:
        before_ns = now_ns - to_ns - compiled.late_limit_ns
        state = _pass_over(compiled, replace(state, declined_ns=None), before_ns, now_ns, out)
    return state


def heard(compiled: CompiledShow, state: RunState, given: c.Timecode, now_ns: int, out: Outcome) -> RunState:
    """The chase's word: how timecode behaves from now on, or where it is."""
    if compiled.timecode is None or given.mode not in get_args(TimecodeMode):
        out.refused = (
            f"no timecode comes in to this show, so it cannot be '{given.mode}'; set it up in the Book"
        )
        return state
    mode: TimecodeMode = next(m for m in get_args(TimecodeMode) if m == given.mode)
    before, state = state.timecode, replace(state, timecode=TimecodeWord(mode, given.zero_ns))
    if mode != before.mode:
        out.events.append(_event(compiled, state, now_ns, mode, None, given.words))
    state = align(compiled, state, now_ns, out)
    if state.timecode != before and not out.events:
        out.events.append(_event(compiled, state, now_ns, "moved", None, given.words))
    return state


def answer(
    compiled: CompiledShow, state: RunState, given: c.TimecodeAnswer, now_ns: int, out: Outcome
) -> RunState:
    """The caller's word on a far jump: what it passes over never fires; not taken, the clock runs on as if
    nothing had happened."""
    found = verdict(compiled, state, now_ns)
    if state.lead != "asks" or state.clock_ns is None:
        out.refused = "timecode has not jumped, so there is nothing to answer; carry on"
        return state
    if not given.take:
        state, shift_ns = moved(compiled, state, state.clock_ns, now_ns)
        state = replace(state, lead="hand", declined_ns=state.timecode.zero_ns)
        words = "the jump is not followed: the clock runs by itself"
        out.events.append(_event(compiled, state, now_ns, "ignored", shift_ns, words))
        return state
    if found.clock_ns is None:
        out.refused = f"timecode cannot be followed ({found.words}); stay by hand until it locks"
        return state
    state, shift_ns = moved(compiled, state, found.clock_ns, now_ns)
    state = replace(state, lead="timecode", declined_ns=None)
    out.events.append(_event(compiled, state, now_ns, "taken", shift_ns, "the clock follows timecode"))
    return _pass_over(compiled, state, now_ns - found.clock_ns, now_ns, out)


def follow(compiled: CompiledShow, state: RunState, given: c.Follow, now_ns: int, out: Outcome) -> RunState:
    """Let clocks follow timecode, or take over by hand."""
    if compiled.timecode is None:
        out.refused = "no timecode comes in to this show; set it up in the Book before the show"
    elif given.on == state.follows and state.declined_ns is None:
        out.refused = (
            "timecode is followed already; nothing to do"
            if given.on
            else "the clock runs by hand already; nothing to do"
        )
    if out.refused is not None:
        return state
    state = replace(state, follows=given.on, declined_ns=None)
    words = "timecode may lead the clock" if given.on else "timecode is not followed"
    out.events.append(_event(compiled, state, now_ns, "on" if given.on else "off", None, words))
    return state


def lost_touch(state: RunState) -> RunState:
    """After a gap nothing is known of the code: a clock that stood stands on, another runs by itself."""
    return replace(state, timecode=TimecodeWord("holding" if state.stands else "waiting"), declined_ns=None)


def moved(compiled: CompiledShow, state: RunState, clock_ns: int, now_ns: int) -> tuple[RunState, int]:
    """The clock's zero put at ``clock_ns``, and running; also how far that moves what it shows (ns).

    What waits for a cue that has fired waits as long as before: a follow-on's delay is time that passes, not
    a place in the song.
    """
    shown_ns = state.item_ns(now_ns) or 0
    state = replace(state, clock_ns=clock_ns, stood_at_ns=None)
    state = replace(state, since_ns=state.item_ns(now_ns) or 0)
    shift_ns = (state.item_ns(now_ns) or 0) - shown_ns
    i, marks = state.item, state.marks[state.item]
    waited_for = {f for k, f, _ in compiled.items[i].automatic if f is not None and open_cues(state, i, [k])}
    fired = {k: marks[k] for k in waited_for if k in marks and marks[k].status == "fired"}
    return with_marks(state, i, {k: Mark("fired", m.at_ns + shift_ns) for k, m in fired.items()}), shift_ns


def _pass_over(
    compiled: CompiledShow, state: RunState, before_ns: int, now_ns: int, out: Outcome
) -> RunState:
    """What should have fired by itself before ``before_ns`` on the item's clock will not."""
    early = [k for k, f, ns in compiled.items[state.item].automatic if f is None and ns < before_ns]
    return leave_out(compiled, state, state.item, early, now_ns, out, "timecode passed over it")


def timecode_label(compiled: CompiledShow, state: RunState, now_ns: int) -> str | None:
    """What timecode says now, ``hh:mm:ss:ff``; None while that cannot be told."""
    if compiled.timecode is None or state.timecode.zero_ns is None:
        return None
    # A nanosecond more, since a frame's start is rounded to the nanosecond.
    at_ns = (now_ns - state.timecode.zero_ns) % compiled.timecode.day_ns + 1
    return label(frame_at(Fraction(at_ns, NS), compiled.timecode.rate), compiled.timecode.rate)


def nearest(value_ns: int, to_ns: int, day_ns: int) -> int:
    """``value_ns`` moved by whole days to within half a day of ``to_ns``: code comes round at midnight."""
    return value_ns - day_ns * ((value_ns - to_ns + day_ns // 2) // day_ns)


def _event(
    compiled: CompiledShow,
    state: RunState,
    now_ns: int,
    what: ev.TimecodeWhat,
    shift_ns: int | None,
    words: str,
) -> ev.TimecodeTold:
    return ev.TimecodeTold(
        what=what,
        code=timecode_label(compiled, state, now_ns),
        shift_s=None if shift_ns is None else shift_ns / NS,
        words=words,
    )


def _s(ns: int) -> str:
    return f"{abs(ns) / NS:.1f}".removesuffix(".0")
