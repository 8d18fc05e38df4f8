"""Marks on cues: setting them without touching the old state, what is due, what falls with a cue."""

from bisect import bisect_left
from collections.abc import Iterable, Mapping

from showcaller.run import events as ev
from showcaller.run.compiled import CompiledShow
from showcaller.run.state import Mark, RunState
from showcaller.values import replace


def with_marks(state: RunState, i: int, marks: Mapping[int, Mark]) -> RunState:
    """The state with some cues of item ``i`` marked anew."""
    if not marks:
        return state
    return replace(state, marks=(*state.marks[:i], {**state.marks[i], **marks}, *state.marks[i + 1 :]))


def without_marks(state: RunState, i: int, cues: Iterable[int]) -> RunState:
    """The state with some cues of item ``i`` waiting again."""
    gone = set(cues)
    kept = {k: m for k, m in state.marks[i].items() if k not in gone}
    return replace(state, marks=(*state.marks[:i], kept, *state.marks[i + 1 :]))


def open_cues(state: RunState, i: int, cues: Iterable[int]) -> list[int]:
    """Those of ``cues`` that are still to come (waiting, standing by or answered)."""
    marks = state.marks[i]
    return [k for k in cues if _is_open(marks, k)]


def automatic_due(compiled: CompiledShow, state: RunState) -> tuple[int, int] | None:
    """The next cue of the item that is on that will fire by itself: (item time in ns, cue); None if none."""
    if state.clock_ns is None:
        return None
    item, marks = compiled.items[state.item], state.marks[state.item]
    first: tuple[int, int] | None = None
    for k, follows, delay_ns in item.following:
        trigger = marks.get(follows)
        if trigger is None or trigger.status != "fired" or not _is_open(marks, k):
            continue
        due = trigger.at_ns + delay_ns
        if first is None or due < first[0]:
            first = (due, k)
    # Those with an instant of their own have their end in the order of their instants, whatever happens to
    # the place, so the first that is still to come is found by halving; unless one was taken over by hand.
    timed = item.timed
    if state.taken_over:
        at = next((n for n, entry in enumerate(timed) if _is_open(marks, entry[1])), len(timed))
    else:
        at = bisect_left(timed, True, key=lambda entry: _is_open(marks, entry[1]))
    if at < len(timed) and (first is None or timed[at] < first):
        first = timed[at]
    return first


def _is_open(marks: Mapping[int, Mark], k: int) -> bool:
    return k not in marks or marks[k].status in ("standby", "answered")


def with_followers(compiled: CompiledShow, i: int, cues: Iterable[int]) -> list[int]:
    """These cues and everything that follows them, directly or in a chain."""
    found = list(cues)
    for k in found:  # grows as it goes
        found += [f for f in compiled.items[i].followers.get(k, ()) if f not in found]
    return found


def cascade(
    compiled: CompiledShow, state: RunState, i: int, cues: list[int], events: list[ev.Event]
) -> RunState:
    """What follows a cue that will not fire will not fire either; it is marked and named."""
    item = compiled.items[i]
    lost = open_cues(state, i, [k for k in with_followers(compiled, i, cues) if k not in cues])
    at_ns = max((state.marks[i][k].at_ns for k in cues if k in state.marks[i]), default=0)
    item_id, why = item.planned.item.id, "what it follows did not fire"
    events += [ev.Skipped(item=item_id, cue=item.ids[k], why=why) for k in lost]
    return with_marks(state, i, {k: Mark("skipped", at_ns) for k in lost})
