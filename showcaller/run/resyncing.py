"""Putting a song's clock right by hand: "this is bar 33 now", or a tap on the downbeat. Pure.

What a shift forward passes over fires late if it is no later than the late limit, and is named missed if it
is; a shift back fires nothing again.
"""

from fractions import Fraction

from showcaller.model import Song
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow, to_ns
from showcaller.run.firing import after, begin_item
from showcaller.run.following import moved
from showcaller.run.outcome import Outcome
from showcaller.run.state import RunState
from showcaller.timing.plan import PlannedItem
from showcaller.timing.resync import Resync, at_bar, at_nearest_downbeat
from showcaller.values import replace


def resync(compiled: CompiledShow, state: RunState, given: c.Resync, now_ns: int, out: Outcome) -> RunState:
    """Shift the clock of the song that is on."""
    planned = compiled.items[state.item].planned
    at_ns = state.item_ns(now_ns)
    if (
        at_ns is None
        and given.bar is not None
        and state.place.item == state.item
        and state.begun_ns is not None
    ):
        return _started(compiled, state, given, now_ns, out)
    if at_ns is None or state.clock_ns is None:
        out.refused = "no song is running: give the go that starts it"
    elif state.led:
        out.refused = "timecode leads this clock: take it by hand first"
    elif given.undo:
        return _undone(compiled, state, now_ns, out)
    elif given.downbeat == (given.bar is not None):
        out.refused = "say which bar this is, or tap on the downbeat"
    if out.refused is not None or at_ns is None or state.clock_ns is None:
        return state
    found = _found(planned, given, Fraction(at_ns, NS))
    if isinstance(found, str):
        out.refused = found
        return state
    state, shift_ns = moved(compiled, state, state.clock_ns - to_ns(found.shift_s), now_ns)
    out.events.append(
        ev.Resynced(
            item=planned.item.id,
            bar=found.bar,
            beat=1 if given.downbeat else given.beat,
            shift_s=shift_ns / NS,
            at_s=at_ns / NS,
        )
    )
    return replace(state, resynced=(planned.item.id, shift_ns))


def _started(compiled: CompiledShow, state: RunState, given: c.Resync, now_ns: int, out: Outcome) -> RunState:
    """A clock that was stopped starts again at the bar that is on: the band has not stopped."""
    planned = compiled.items[state.item].planned
    found = _found(planned, given, Fraction(0))
    if isinstance(found, str):
        out.refused = found
        return state
    place, goes = state.place, planned.goes
    while place.item == state.item and not goes[place.go].cues:
        place = after(compiled, state.item, place.go)  # a go that only starts the clock: it has started
    state = begin_item(compiled, state, state.item, to_ns(found.shift_s), now_ns, out)
    return replace(state, place=place, history=())


def _undone(compiled: CompiledShow, state: RunState, now_ns: int, out: Outcome) -> RunState:
    """The last shift taken back: the clock is where it would be without it."""
    item = compiled.items[state.item].planned.item.id
    at_ns = state.item_ns(now_ns)
    if state.resynced is None or state.resynced[0] != item or state.clock_ns is None or at_ns is None:
        out.refused = "this item's clock was not moved by hand, so there is nothing to take back"
        return state
    state, shift_ns = moved(compiled, state, state.clock_ns + state.resynced[1], now_ns)
    position = compiled.items[state.item].planned.bar_at(Fraction(at_ns + shift_ns, NS))
    bar, beat = (position[0], int(position[1])) if position else (0, 0)
    out.events.append(
        ev.Resynced(item=item, bar=bar, beat=beat, shift_s=shift_ns / NS, at_s=at_ns / NS, undone=True)
    )
    return replace(state, resynced=None)


def _found(planned: PlannedItem, given: c.Resync, at_s: Fraction) -> Resync | str:
    """The shift, or why there is none."""
    song, tempo = planned.item, planned.tempo
    if tempo is None or not isinstance(song, Song):
        return f"'{song.name}' has no tempo, so it has no bars; give it a tempo in the Book"
    if given.bar is None:
        nearest = at_nearest_downbeat(tempo, song.downbeat_s, at_s)
        return nearest or "the first downbeat is more than half a bar away: tap on it when it comes"
    if not 1 <= given.bar <= 9999:
        return f"there is no bar {str(given.bar)[:12]}; bars count from 1"
    if not 1 <= given.beat <= tempo.beats_in_bar(given.bar):
        return f"bar {given.bar} has {tempo.beats_in_bar(given.bar)} beats; give one of them"
    found = at_bar(tempo, song.downbeat_s, at_s, given.bar, given.beat)
    if at_s + found.shift_s > song.length_s:
        return f"bar {given.bar} is past the planned end of '{song.name}'; give an earlier one"
    return found
