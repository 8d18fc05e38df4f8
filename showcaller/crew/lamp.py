"""A department's cue light, read from the log: red for standby, green for go. Pure."""

from dataclasses import dataclass
from typing import Literal

from showcaller.crew.outline import Outline
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook

GO_SHOWN_S = 4.0
"""A go stays on the light for so long (our choice: long enough to be seen by somebody who looked away)."""


@dataclass(frozen=True, slots=True)
class Lamp:
    """What the light shows, by its newest word.

    ``standby`` are the cues that stand by, ``answered`` whether all of them were acknowledged; ``went`` are
    those of a go not longer ago than :data:`GO_SHOWN_S`, which is over at ``until_ns`` of the run's clock.
    """

    shows: Literal["off", "standby", "go"] = "off"
    standby: tuple[str, ...] = ()
    answered: bool = False
    went: tuple[str, ...] = ()
    until_ns: int = 0


def lamp_of(book: RunBook, department: str, mine: Outline, now_ns: int) -> Lamp:
    """The light of a department (its id, and its cues) at ``now_ns``. A standby called after a go takes its
    place."""
    if book.state.phase not in ("running", "held") or not department:
        return Lamp()
    standby, answered = _standing(book, department, mine)
    went, until_ns, newer_standby = _last_go(book, department, now_ns)
    if went and not newer_standby:
        return Lamp("go", standby, answered, went, until_ns)
    return Lamp("standby" if standby else "off", standby, answered)


def _standing(book: RunBook, department: str, mine: Outline) -> tuple[tuple[str, ...], bool]:
    """The department's cues that were asked to stand by and have not gone, and whether it answered."""
    found: list[str] = []
    answered = True
    for i in range(book.state.item, len(book.compiled.items)):
        item, marks = book.compiled.items[i], book.state.marks[i]
        for own in mine[i] if marks else ():
            mark = marks.get(own.k)
            if mark is None or mark.status not in ("standby", "answered"):
                continue
            if item.planned.cues[own.k].cue.department == department:
                found.append(item.ids[own.k])
                answered = answered and mark.status == "answered"
    return tuple(found), bool(found) and answered


def _last_go(book: RunBook, department: str, now_ns: int) -> tuple[tuple[str, ...], int, bool]:
    """Cues that went by a go a moment ago, until when that is shown, and whether a standby came after."""
    shown_ns = round(GO_SHOWN_S * NS)
    back: set[str] = set()
    newer = False
    for record in reversed(book.records):
        if record.t_ns <= now_ns - shown_ns:
            break
        went = []
        for event in record.events:
            match event:
                case ev.Fired(by="go" | "hand") if _department(book, event.cue) == department:
                    went.append(event.cue)
                case ev.TakenBack():
                    back.update(event.cues)
                case ev.LineSaid(what="standby"):
                    newer = newer or any(_department(book, cue) == department for cue in event.cues)
        stood = tuple(cue for cue in went if cue not in back)
        if stood:
            return stood, record.t_ns + shown_ns, newer
    return (), 0, False


def _department(book: RunBook, cue: str) -> str:
    i, k = book.compiled.where.get(cue, (-1, -1))
    return book.compiled.items[i].planned.cues[k].cue.department if i >= 0 else ""
