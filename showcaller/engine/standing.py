"""Where a run stands: its records put through the step again, one by one, and none of them kept."""

from collections import Counter
from collections.abc import Iterable

from showcaller.model import LookChange, Message, OscMessage
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import CompiledShow, LookFact
from showcaller.run.machine import first_state, step
from showcaller.run.outcome import Outcome
from showcaller.run.state import RunState
from showcaller.screen.looks import resolved
from showcaller.screen.sending import messages_of


def cue_messages(compiled: CompiledShow, i: int, k: int) -> tuple[Message, ...]:
    """What the ``k``-th cue of the ``i``-th item sends: its own messages, and those of its look."""
    item = compiled.items[i]
    cue = item.planned.cues[k].cue
    return (*cue.messages, *look_messages(compiled, cue.look, item.looks.get(k)))


def look_messages(
    compiled: CompiledShow, change: LookChange | None, fact: LookFact | None
) -> Iterable[OscMessage]:
    """What the show's templates make of a change of look."""
    show = compiled.plan.show
    if change is None or not show.sends:
        return ()
    over_s = 0.0 if fact is None else fact.over_s
    return (sent.message for sent in messages_of(show, resolved(show, change), change, over_s))


class Standing:
    """The state of a run, when something is due next (``next_ns``), and what was given to the outlets and has
    not been told of again. Belongs to one thread."""

    def __init__(self, compiled: CompiledShow) -> None:
        self.compiled = compiled
        self.state: RunState = first_state(compiled)
        self.next_ns: int | None = None
        self.outstanding: Counter[tuple[str, str]] = Counter()
        self.outlets: dict[tuple[int, int], tuple[str, ...]] = {}
        """(item, cue) → its outlets, for each that was asked for."""

    def replay(self, given: c.Input, t_ns: int) -> None:
        """One input of a log. Nothing is sent: what was journaled counts as gone."""
        self.state, out = step(self.compiled, self.state, given, t_ns)
        self.next_ns = out.next_ns
        self.count(out)
        if out.compiled is not None:
            self.compiled, self.outlets = out.compiled, {}

    def count(self, out: Outcome) -> None:
        """Keep count of what was given to the outlets and has not been told of again."""
        for event in out.events:
            if isinstance(event, ev.DoubtSettled):
                for pair in [p for p in self.outstanding if p[0] == event.cue]:
                    del self.outstanding[pair]
        for i, k, _ in out.sends:
            for outlet in self.outlets_of(i, k):
                if not self.state.is_muted(outlet) and outlet in out.only.get((i, k), (outlet,)):
                    self.outstanding[self.compiled.items[i].ids[k], outlet] += 1
        for event in out.events:
            if isinstance(event, ev.MessagesSent | ev.MessagesFailed):
                pair = event.cue, event.outlet
                if self.outstanding[pair] > 0:
                    self.outstanding[pair] -= 1

    def outlets_of(self, i: int, k: int) -> tuple[str, ...]:
        """A cue's outlets, each once, in the order of its messages."""
        found = self.outlets.get((i, k))
        if found is None:
            found = tuple(dict.fromkeys(message.outlet for message in cue_messages(self.compiled, i, k)))
            self.outlets[i, k] = found
        return found

    def doubts(self) -> tuple[str, ...]:
        """What was given to an outlet that has not told what became of it, as :class:`Recovered` has it."""
        return tuple("\n".join(pair) for pair, count in self.outstanding.items() if count > 0)
