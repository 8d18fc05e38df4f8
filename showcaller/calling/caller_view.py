"""What the call area shows at an instant, worked out from the run book. Pure: no Qt, no clock."""

from showcaller.calling.rungs import AHEAD_S, Rung, rungs_of, status_of
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.interventions import may_be_taken
from showcaller.run.runbook import RunBook
from showcaller.values import Struct, replace

AHEAD_LINES = 24
MISSED_AFTER_S = 2.0
"""A firm go this long overdue counts as missed and says so."""
OVERLOOKED_AFTER_S = 1.0
"""A standby that should have been said this long ago, with no time left for it and its go, gives its place to
the go."""
WORD_S = 0.5
"""A go stands in the box at least so long before its word has to begin."""


class CallView(Struct, frozen=True):
    """The live half of the call area: the line to say now, the next go, the ladder, what has been said."""

    phase: str
    now: Rung | None = None
    next_go: Rung | None = None
    next_say: Rung | None = None
    ladder: tuple[Rung, ...] = ()
    more: int = 0
    answered: tuple[str, ...] = ()
    waiting: tuple[str, ...] = ()
    held_s: float | None = None
    hold_reason: str = ""
    done: bool = False
    missed: bool = False
    cued_up: bool = False
    unsaid: tuple[str, ...] = ()
    """Warnings and standbys that were to be said before the line to say now, and were not."""
    muted: bool = False
    """It is a rehearsal, with all outputs muted."""
    missed_cues: tuple[str, ...] = ()
    """Cues of the item that is on which should have fired by themselves and did not, by name."""


def call_view(book: RunBook, now_ns: int) -> CallView:
    """The call area's live half at ``now_ns`` of the run's clock."""
    state = book.state
    view = CallView(state.phase, muted=state.all_muted)
    if state.phase == "ended":
        begun = any(isinstance(e, ev.ItemStarted) for r in book.records for e in r.events)
        return replace(view, done=True, cued_up=not begun)
    if state.phase == "idle":
        # What is to come can be read before the run is open; nothing of it can be fired.
        coming = [r for r in sorted(rungs_of(book, now_ns), key=_order) if r.in_s <= AHEAD_S]
        return replace(view, ladder=tuple(coming[:AHEAD_LINES]), more=max(0, len(coming) - AHEAD_LINES))
    rungs = sorted(rungs_of(book, now_ns), key=_order)
    spoken = [r for r in rungs if r.what != "automatic"]
    next_go = next((r for r in spoken if r.what == "go"), None)
    next_say = next((r for r in spoken if r.what != "go"), None)
    now = _to_say(spoken, next_go)
    over = [r for r in spoken if r is not now and r.what != "go" and now is next_go and r.in_s < 0]
    # In a hold the box says so, and the line to say next stands on the ladder.
    shown = None if state.held_at_ns is not None else now
    ladder = [r for r in rungs if r is not shown and r not in over and r.in_s <= AHEAD_S]
    missed = now is not None and now.what == "go" and now.firm and now.in_s < -MISSED_AFTER_S
    answered, waiting = _answers(book, now)
    held_s = None
    if state.held_at_ns is not None:
        held_s = (now_ns - state.held_at_ns) / NS
    return replace(
        view,
        now=now,
        next_go=next_go,
        next_say=next_say,
        ladder=tuple(ladder[:AHEAD_LINES]),
        more=max(0, len(ladder) - AHEAD_LINES),
        answered=answered,
        waiting=waiting,
        held_s=held_s,
        hold_reason=state.hold_reason,
        done=state.place.item >= len(book.compiled.items),
        missed=missed,
        cued_up=state.cued_up,
        unsaid=tuple(r.text for r in over),
        missed_cues=tuple(map(book.cue_name, missed_cues(book))),
    )


def _to_say(spoken: list[Rung], go: Rung | None) -> Rung | None:
    """The line for the box: the first, unless it is a standby that was overlooked and the go's word is
    due."""
    first = spoken[0] if spoken else None
    if first is None or go is None or first is go or not go.firm:
        return first
    due = go.in_s <= go.takes_s + WORD_S
    # A line stays while it is being said; it is overlooked once even that would be over.
    late = first.in_s < -(first.takes_s + OVERLOOKED_AFTER_S) and go.in_s <= go.takes_s + first.takes_s
    return go if due or late else first


def missed_cues(book: RunBook) -> tuple[str, ...]:
    """What of the item that is on can still be fired by hand, since it did not fire by itself: ids."""
    compiled, state = book.compiled, book.state
    cues = compiled.items[state.item].planned.cues
    return tuple(cue.cue.id for k, cue in enumerate(cues) if may_be_taken(compiled, state, k) == "missed")


def _order(rung: Rung) -> tuple[float, int]:
    return rung.in_s, {"warning": 0, "standby": 1, "go": 2, "automatic": 3}[rung.what]


def _answers(book: RunBook, now: Rung | None) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Departments of the line to say now that have answered, and that have been asked and have not."""
    if now is None or now.what != "go":
        return (), ()
    planned = book.compiled.items[now.item].planned
    marks = book.state.marks[now.item]
    there: dict[str, None] = {}
    asked: dict[str, None] = {}
    for k, cue in enumerate(planned.cues):
        if cue.cue.id in now.cues:
            name = book.compiled.plan.show.department(cue.cue.department).name
            status = status_of(marks, k)
            if status == "answered":
                there[name] = None
            elif status == "standby":
                asked[name] = None
    return tuple(there), tuple(n for n in asked if n not in there)
