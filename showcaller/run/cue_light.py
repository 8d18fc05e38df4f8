"""A department's cue light, read from the run: red for standby, green for go. Pure."""

from collections.abc import Iterable, Sequence

from showcaller.model.cue_lights import LightShows
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.state import RunState
from showcaller.values import Struct

GO_SHOWN_S = 4.0
"""A go stays on the light for so long (our choice: long enough to be seen by somebody who looked away)."""

GO_SHOWN_NS = round(GO_SHOWN_S * NS)

Own = Sequence[Sequence[int]]
"""Item by item, the places of a department's cues."""

Told = tuple[int, tuple[ev.Event, ...]]
"""The instant of a record, in nanoseconds of the run, and its events."""


class Lamp(Struct, frozen=True):
    """What the light shows, by its newest word.

    ``standby`` are the cues that stand by, ``answered`` whether all of them were acknowledged; ``went`` are
    those of a go not longer ago than :data:`GO_SHOWN_S`, which is over at ``until_ns`` of the run's clock.
    """

    shows: LightShows = "off"
    standby: tuple[str, ...] = ()
    answered: bool = False
    went: tuple[str, ...] = ()
    until_ns: int = 0


def own_cues(compiled: CompiledShow, department: str) -> Own:
    """The department's cues in this edition."""
    return [
        [k for k, cue in enumerate(item.planned.cues) if cue.cue.department == department]
        for item in compiled.items
    ]


def lamp_of(
    compiled: CompiledShow,
    state: RunState,
    newest_first: Iterable[Told],
    department: str,
    own: Own,
    now_ns: int,
) -> Lamp:
    """The light of a department at ``now_ns``; ``newest_first`` reaches back by :data:`GO_SHOWN_S` or more. A
    standby called after a go takes its place."""
    if state.phase not in ("running", "held") or not department:
        return Lamp()
    standby, answered = _standing(compiled, state, own)
    went, until_ns, newer_standby = _last_go(compiled, newest_first, department, now_ns)
    if went and not newer_standby:
        return Lamp("go", standby, answered, went, until_ns)
    red: LightShows = "standing by" if answered else "standby"
    return Lamp(red if standby else "off", standby, answered)


def _standing(compiled: CompiledShow, state: RunState, own: Own) -> tuple[tuple[str, ...], bool]:
    """The department's cues that were asked to stand by and have not gone, and whether it answered."""
    found: list[str] = []
    answered = True
    for i in range(state.item, len(compiled.items)):
        ids, marks = compiled.items[i].ids, state.marks[i]
        for k in own[i] if marks else ():
            mark = marks.get(k)
            if mark is not None and mark.status in ("standby", "answered"):
                found.append(ids[k])
                answered = answered and mark.status == "answered"
    return tuple(found), bool(found) and answered


def _last_go(
    compiled: CompiledShow, newest_first: Iterable[Told], department: str, now_ns: int
) -> tuple[tuple[str, ...], int, bool]:
    """Cues that went by a go a moment ago, until when that is shown, and whether a standby came after."""
    back: set[str] = set()
    newer = False
    for t_ns, events in newest_first:
        if t_ns <= now_ns - GO_SHOWN_NS:
            break
        went = []
        for event in events:
            match event:
                case ev.Fired(by="go" | "hand") if _department(compiled, event.cue) == department:
                    went.append(event.cue)
                case ev.TakenBack():
                    back.update(event.cues)
                case ev.LineSaid(what="standby"):
                    newer = newer or any(_department(compiled, cue) == department for cue in event.cues)
        stood = tuple(cue for cue in went if cue not in back)
        if stood:
            return stood, t_ns + GO_SHOWN_NS, newer
    return (), 0, False


def _department(compiled: CompiledShow, cue: str) -> str:
    i, k = compiled.where.get(cue, (-1, -1))
    return compiled.items[i].planned.cues[k].cue.department if i >= 0 else ""
