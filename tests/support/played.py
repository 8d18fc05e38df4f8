"""A run played by hand: inputs at instants of its clock, with what fires by itself in between."""

from showcaller.model import Show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow, compile_show
from showcaller.run.events import Event
from showcaller.run.machine import first_state, step
from showcaller.run.outcome import Outcome
from showcaller.run.runlog import Record
from showcaller.run.state import RunState
from showcaller.timing.plan import compile_plan

WALL0_NS = 1_760_000_000 * NS
"""Time of day (Unix) at which the run's clock shows 0."""


class Played:
    """A run of a show. ``records`` is its log as it comes out of a journal."""

    def __init__(self, show: Show, started: bool = True) -> None:
        self.compiled: CompiledShow = compile_show(compile_plan(show))
        self.state: RunState = first_state(self.compiled)
        self.next_ns: int | None = None
        self.t_ns = 0
        self.records: list[Record] = []
        self.sends: list[tuple[str, float]] = []
        """(cue, the instant it was due in seconds of the run's clock) of everything that left."""
        if started:
            self.at(0, c.Start("Ada"))

    def at(self, t_s: float, *inputs: c.Input) -> list[Event]:
        """Give inputs at ``t_s``, after all that fires by itself until then; the events of all of it."""
        now_ns = round(t_s * NS)
        events: list[Event] = []
        while self.next_ns is not None and self.next_ns <= now_ns:
            events += self.step(c.Tick(), max(self.next_ns, self.t_ns)).events
        for given in inputs:
            events += self.step(given, now_ns).events
        return events

    def go(self, t_s: float, confirmed: bool = False) -> list[Event]:
        """The next go, at ``t_s``."""
        self.at(t_s)
        return self.at(t_s, c.Go(self.next_go(), confirmed))

    def refusal(self, t_s: float, given: c.Input) -> str:
        """The sentence an input is refused with; it must leave the state as it was."""
        self.at(t_s)
        before = self.state
        out = self.step(given, round(t_s * NS))
        assert out.refused is not None, f"{given} was not refused"
        assert self.state == before
        assert out.events == [ev.CommandRefused(command=given.kind, why=out.refused)]
        assert out.sends == []
        return out.refused

    def step(self, given: c.Input, now_ns: int) -> Outcome:
        """One input and nothing around it."""
        assert now_ns >= self.t_ns, "a run's clock never goes back"
        self.t_ns = now_ns
        self.state, out = step(self.compiled, self.state, given, now_ns)
        self.next_ns = out.next_ns
        self.sends += [(self.compiled.items[i].ids[k], due_ns / NS) for i, k, due_ns in out.sends]
        if out.events:
            seq = len(self.records) + 1
            record = Record(seq, now_ns, WALL0_NS + now_ns, given, tuple(out.events))
            self.records.append(Record.from_bytes(record.to_bytes()))
        return out

    def next_go(self) -> str:
        """The id of the next go, ``none`` past the last."""
        place, items = self.state.place, self.compiled.items
        return items[place.item].go_ids[place.go] if place.item < len(items) else "none"

    def status(self, cue: str) -> str:
        """What has become of a cue; ``waiting`` when nothing has."""
        i, k = self.compiled.where[cue]
        return self.state.marks[i][k].status if k in self.state.marks[i] else "waiting"

    def left(self) -> list[str]:
        """Cues that have left, in order."""
        return [cue for cue, _ in self.sends]


def cues_of(events: list[Event], kind: str) -> list[str]:
    """The cues that events of a kind name, in order."""
    found: list[str] = []
    for event in events:
        if event.kind == kind:
            found += event.cues if hasattr(event, "cues") else [event.cue]
    return found
