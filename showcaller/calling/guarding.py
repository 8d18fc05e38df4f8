"""When a go is asked for a second time before it is given. Pure.

A go long before its instant, or for which nobody was warned, is more often a slip of the finger than a
decision; a second press costs a caller who means it half a second.
"""

from dataclasses import dataclass

from showcaller.calling.rungs import Rung
from showcaller.calling.wording import span
from showcaller.model import Cue
from showcaller.run.events import Fired, ItemStarted, Jumped
from showcaller.run.runbook import RunBook

NEAR_S = 4.0
"""A go whose cues have no standby lead of their own may be this early without being asked for again (common
practice, no source). The show may set another figure: ``speaking.ask_again_s``."""


SEEN_S = 0.25
"""A go that another hand has just made the next one is not given before it was there to be seen for so long
(about the time of a simple reaction; common practice, no source)."""


@dataclass
class NextSeen:
    """Which go a desk shows as next, and since when."""

    go: str | None = None
    since_s: float = 0.0
    since_ns: int = 0
    moved_by_another: bool = False

    def look(self, go: str | None, by_this_desk: bool, now_s: float, now_ns: int) -> None:
        """What is shown at this frame; ``by_this_desk`` if it has just sent a command itself."""
        if go != self.go:
            moved = self.go is not None and not by_this_desk
            self.go, self.since_s, self.since_ns, self.moved_by_another = go, now_s, now_ns, moved

    def too_new(self, now_s: float) -> bool:
        """Whether nobody can have meant this go yet: a remote or another desk has just moved the place."""
        return self.moved_by_another and now_s - self.since_s < SEEN_S


def asked_again(book: RunBook, go: Rung) -> str | None:
    """Why the next go is asked for again: ``0:14 early``, ``without its standby``; None if it may
    simply be given."""
    whys = []
    if go.in_s > may_be_early_s(book, go):
        begins = f", and it begins {book.compiled.items[go.item].planned.item.name}" if go.starts_item else ""
        whys.append(f"{span(go.in_s)} early{begins}")
    if book.compiled.plan.show.speaking.ask_unsaid and unsaid(book, go):
        whys.append("without its standby")
    return " and ".join(whys) or None


def may_be_early_s(book: RunBook, go: Rung) -> float:
    """So many seconds before its instant a go may be given without being asked for again: the show's figure,
    or the longest standby lead of its cues."""
    figure = book.compiled.plan.show.speaking.ask_again_s
    if figure is not None:
        return float(figure)
    return max((float(cue.standby_s) for cue in _cues(book, go)), default=0.0) or NEAR_S


def unsaid(book: RunBook, go: Rung) -> bool:
    """Whether a standby is planned for this go and has not been called."""
    lines = book.sheets[go.item].lines
    marks, where = book.state.marks[go.item], book.compiled.where
    warned = {cue for cue in go.cues if where[cue][1] in marks}
    planned = {
        book.compiled.items[go.item].ids[k] for line in lines if line.what == "standby" for k in line.cues
    }
    return any(cue in planned and cue not in warned for cue in go.cues)


def jumped_last(book: RunBook) -> bool:
    """Whether the place was put where it is, and no go was given since."""
    for record in reversed(book.records):
        for event in record.events:
            if isinstance(event, Jumped):
                return True
            if isinstance(event, ItemStarted) or (isinstance(event, Fired) and event.by == "go"):
                return False
    return False


def _cues(book: RunBook, go: Rung) -> list[Cue]:
    compiled = book.compiled
    return [compiled.items[go.item].planned.cues[compiled.where[cue][1]].cue for cue in go.cues]
