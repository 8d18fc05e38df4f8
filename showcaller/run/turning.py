"""Sections played again, until a word, or not at all: the item's clock turns back, or on, at a section's end.

``again`` repeats the section that is on once; a ``vamp`` repeats it until the word to go on; ``cut`` leaves
out the next section at its downbeat. A section may be a vamp by the plan. Turned back, the section's cues
come again, as its calls do. Pure.
"""

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.carrying import first_open
from showcaller.run.compiled import NS, CompiledItem, CompiledSection, CompiledShow
from showcaller.run.firing import leave_out
from showcaller.run.following import moved
from showcaller.run.marking import with_followers, without_marks
from showcaller.run.outcome import Outcome
from showcaller.run.state import Place, RunState, Turn
from showcaller.values import replace

CUT = "its section is cut"


def next_turn(compiled: CompiledShow, state: RunState) -> Turn | None:
    """Where the clock of the item that is on will turn, as things stand; None where it runs through.

    A vamp of the plan counts while the clock was put before its end: what a jump has passed is over.
    """
    if state.clock_ns is None or state.led:
        return None
    if state.turn is not None:
        return state.turn
    for n, section in enumerate(compiled.items[state.item].sections):
        if section.vamp and n not in state.let_out and section.end_ns > max(state.since_ns, section.start_ns):
            return Turn("vamp", n, section.end_ns, section.start_ns)
    return None


def turned(compiled: CompiledShow, state: RunState, turn: Turn, now_ns: int, out: Outcome) -> RunState:
    """The clock has come to the turn."""
    i, item = state.item, compiled.items[state.item]
    at_ns = state.item_ns(now_ns)
    assert state.clock_ns is not None
    assert at_ns is not None
    section = item.sections[turn.section]
    if at_ns - turn.at_ns > compiled.late_limit_ns:
        # The band has decided by itself meanwhile; nobody knows how.
        out.events.append(_event(item, section, turn, state.passes, "missed", 0))
        return replace(state, turn=None, let_out=state.let_out | {turn.section}, passes=0)
    passes = state.passes + 1 if turn.what != "cut" else 0
    out.events.append(_event(item, section, turn, passes, turn.what, turn.to_ns - turn.at_ns))
    state, _ = moved(compiled, state, state.clock_ns + turn.at_ns - turn.to_ns, now_ns)
    state = replace(state, since_ns=turn.to_ns, passes=passes, history=())
    if turn.what == "cut":
        # What follows a cue goes with it: with one from before the section it still comes.
        follow = {k for followers in item.followers.values() for k in followers}
        cut = [k for k, ns in enumerate(item.at_ns) if turn.at_ns <= ns < turn.to_ns and k not in follow]
        state = leave_out(compiled, replace(state, turn=None), i, cut, now_ns, out, CUT)
    else:
        again = [k for k, ns in enumerate(item.at_ns) if turn.to_ns <= ns < turn.at_ns]
        # A go from behind the turn that was given, or skipped, early: it would stand behind open ones, done.
        done = {k for k, mark in state.marks[i].items() if mark.status not in ("standby", "answered")}
        called = [k for go in item.planned.goes for k in go.cues]
        again += [k for k in called if k in done and item.at_ns[k] >= turn.at_ns]
        state = _again(compiled, state, again, out)
        state = replace(state, turn=None if turn.what == "again" else state.turn)
    if state.place.item not in (i, i + 1) or (state.place.item != i and state.place.go):
        return state
    go = first_open(item, state.marks[i])
    return replace(state, place=Place(i, go) if go is not None else Place(i + 1, 0))


def _again(compiled: CompiledShow, state: RunState, cues: list[int], out: Outcome) -> RunState:
    """These cues are to come again, with what follows them, and what is said for them is to be said again."""
    i, item = state.item, compiled.items[state.item]
    again = [k for k in with_followers(compiled, i, cues) if k in state.marks[i]]
    done = sorted(k for k in again if state.marks[i][k].status == "fired")
    if done:
        out.events.append(ev.TakenBack(item=item.planned.item.id, cues=tuple(item.ids[k] for k in done)))
    names = {item.ids[k] for k in again} | {item.ids[k] for k in cues}
    said = frozenset(line for line in state.said if not _is_of(line, item.planned.item.id, names))
    return replace(without_marks(state, i, again), said=said)


def _is_of(line: str, item: str, cues: set[str]) -> bool:
    of, _, rest = line.partition(":")
    return of == item and rest.partition(":")[2] in cues


def form(
    compiled: CompiledShow, state: RunState, given: c.PlaySection, now_ns: int, out: Outcome
) -> RunState:
    """The caller's word on what is played next."""
    item, at_ns = compiled.items[state.item], state.item_ns(now_ns)
    if at_ns is None:
        out.refused = "no song is running: give the go that starts it"
    elif not item.sections:
        out.refused = f"'{item.planned.item.name}' has no sections; give it some in the Book"
    elif state.led:
        out.refused = "timecode leads this clock: take it by hand first"
    if out.refused is not None or at_ns is None:
        return state
    if given.what == "on":
        return _on(item, state, next_turn(compiled, state), out)
    turn = _wanted(item, given.what, at_ns)
    if not isinstance(turn, str) and turn == state.turn:
        turn = f"{item.sections[turn.section].name} is set so already"
    if isinstance(turn, str):
        out.refused = turn
        return state
    section = item.sections[turn.section]
    out.events.append(
        ev.FormSet(item=item.planned.item.id, section=section.name, what=turn.what, at_s=turn.at_ns / NS)
    )
    return replace(state, turn=turn, passes=0)


def _on(item: CompiledItem, state: RunState, turn: Turn | None, out: Outcome) -> RunState:
    """The word to go on: out of what was asked for, and of a vamp by the plan there."""
    if turn is None:
        out.refused = "nothing is repeated or cut here; it goes on by itself"
        return state
    out.events.append(_event(item, item.sections[turn.section], turn, state.passes, "on", 0))
    let_out = state.let_out | {turn.section} if turn.what != "cut" else state.let_out
    return replace(state, turn=None, let_out=let_out, passes=0)


def _wanted(item: CompiledItem, what: str, at_ns: int) -> Turn | str:
    """The turn that is asked for, or why there is none."""
    begun = [n for n, section in enumerate(item.sections) if section.start_ns <= at_ns]
    here = begun[-1] if begun else None
    if what == "cut":
        following = 0 if here is None else here + 1
        if following >= len(item.sections):
            return f"{item.sections[-1].name} is the last section; there is none to cut"
        section = item.sections[following]
        return Turn("cut", following, section.start_ns, section.end_ns)
    if what not in ("again", "vamp"):
        return f"'{what}' cannot be played; say again, vamp, cut or on"
    if here is None:
        return f"{item.sections[0].name} begins at {item.sections[0].start_ns / NS:.0f} s; wait for it"
    section = item.sections[here]
    if section.end_ns <= at_ns:
        return f"{section.name} is over; nothing of it is left to repeat"
    return Turn("again" if what == "again" else "vamp", here, section.end_ns, section.start_ns)


def _event(
    item: CompiledItem, section: CompiledSection, turn: Turn, passes: int, what: str, shift_ns: int
) -> ev.FormTurned:
    return ev.FormTurned(
        item=item.planned.item.id, section=section.name, what=what, at_s=turn.at_ns / NS,
        to_s=(turn.at_ns + shift_ns) / NS, shift_s=shift_ns / NS, passes=passes,
    )  # fmt: skip
