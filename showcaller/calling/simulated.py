"""A simulated caller and crew: reactions with a distribution and a seed, acting on what a caller would see.

The figures are those of a practised caller (common practice, no source), apart from the spread of a reaction
to something seen, about 0.2 s (Woods 2015, Front. Hum. Neurosci. 9:131: mean 231 ms).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from random import Random

from showcaller.calling.caller_view import CallView, call_view
from showcaller.calling.rungs import Rung
from showcaller.model import ReadingClearance
from showcaller.run import commands as c
from showcaller.run.clearing import standing
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.values import Struct

_LENGTH_SPREAD_S: Mapping[str, tuple[float, float]] = {
    "song": (0.0, 2.5),
    "talk": (9.0, 22.0),
    "walk-on": (5.0, 9.0),
    "changeover": (-6.0, 20.0),
    "interval": (0.0, 30.0),
}
"""Item kind → mean and spread of how much longer than planned it lasts."""


def _reading(clearance: ReadingClearance, share: float) -> float:
    """A reading this much of its limit, or, where it is to be at least that, as far beyond it."""
    return round(clearance.limit * share if clearance.side == "at most" else clearance.limit / share, 1)


class Act(Struct, frozen=True):
    """Something to do: at ``at_ns`` of the run's clock send ``command``."""

    at_ns: int
    command: c.Command


@dataclass
class SimulatedCrew:
    """Departments and positions that answer late, wrongly or not at all; for a person to rehearse with.

    ``acts`` is asked again and again; each thing is decided once, from the seed.
    """

    seed: int
    _decided: set[str] = field(default_factory=set)
    _waiting: list[Act] = field(default_factory=list)

    def acts(self, book: RunBook, now_ns: int) -> list[c.Command]:
        """The commands whose time has come."""
        if book.state.phase == "running":
            self._hear(book)
            self._clear(book, now_ns)
        due = [a for a in self._waiting if a.at_ns <= now_ns]
        self._waiting = [a for a in self._waiting if a.at_ns > now_ns]
        return [a.command for a in due]

    def _hear(self, book: RunBook) -> None:
        """Answer every standby that has been said: most soon, some late, a few not at all or wrongly."""
        for record in book.records[-8:]:
            if not isinstance(record.input, c.Standby) or record.input.what != "standby":
                continue
            name = f"answer {record.seq}"
            if name in self._decided:
                continue
            self._decided.add(name)
            cues = [book.compiled.where[cue] for cue in record.input.cues]
            asked = {book.compiled.items[i].planned.cues[k].cue.department for i, k in cues}
            for department in sorted(asked):
                draw = Random(f"{self.seed} {name} {department}")
                luck = draw.random()
                if luck < 0.06:
                    continue  # nobody there
                after_s = draw.uniform(4, 9) if luck < 0.18 else draw.uniform(0.6, 2.2)
                who = draw.choice([d.id for d in book.compiled.plan.show.departments])
                answers = (who if luck > 0.97 else department,)
                self._waiting.append(Act(record.t_ns + _ns(after_s), c.Answer(answers)))

    def _clear(self, book: RunBook, now_ns: int) -> None:
        """Give clearances for what comes within half a minute; one in eight is late."""
        go = call_view(book, now_ns).next_go
        for clearance_id in go.needs if go is not None and go.in_s < 30 else ():
            name = f"clear {clearance_id} {go.id if go else ''}"
            there, _ = standing(book.compiled, book.state, clearance_id, now_ns)
            if there or name in self._decided:
                continue
            self._decided.add(name)
            draw = Random(f"{self.seed} {name}")
            clearance = next(x for x in book.compiled.plan.show.clearances if x.id == clearance_id)
            value: float | None = None
            if isinstance(clearance, ReadingClearance):
                value = _reading(clearance, draw.uniform(0.4, 1.1))
            after_s = draw.uniform(25, 45) if draw.random() < 0.125 else draw.uniform(2, 12)
            given = c.Clear(clearance_id, True, value, clearance.position)
            self._waiting.append(Act(now_ns + _ns(after_s), given))


@dataclass
class SimulatedCaller:
    """Decides what comes next. The same seed and plan give the same show."""

    seed: int
    name: str = "simulated caller"
    _drawn: dict[str, float] = field(default_factory=dict)
    _due: dict[object, int] = field(default_factory=dict)

    def first(self, digest: str, muted: bool = False) -> c.Start:
        """The command that opens the run."""
        return c.Start(self.name, muted, self.seed, digest)

    def next_act(self, book: RunBook, now_ns: int) -> Act | None:
        """What to do next, as far as can be seen from here; None once every go has been given."""
        view = call_view(book, now_ns)
        if view.phase == "held":
            return Act(self._held_until(book, now_ns), c.Resume())
        if view.now is None or view.next_go is None:
            return None
        crew = self._crew(book, view.next_go, now_ns)
        # A go that is still to be cleared waits for it: given before, it would only be refused, again and
        # again.
        waits = crew is not None and view.now is view.next_go
        acts = [None if waits else self._line(book, view, now_ns), crew, self._answer(book, now_ns)]
        return min((a for a in acts if a is not None), key=lambda a: a.at_ns)

    def _line(self, book: RunBook, view: CallView, now_ns: int) -> Act:
        line = view.now
        assert line is not None
        if line.what != "go" or line.go is None:
            delay_s = abs(self._normal(f"say {line.id}", 0.0, 0.25))
            said = c.Standby(line.id, tuple(line.cues), line.what)
            due_ns = now_ns + _ns(max(0.0, line.in_s) + delay_s + line.takes_s)
            return Act(self._settled(f"say {line.id}", book, due_ns), said)
        go = c.Go(line.go, line.hazard is not None)
        due_ns = now_ns + _ns(max(0.0, line.in_s + self._go_delay(book, line)))
        return Act(self._settled(f"go {line.id}", book, due_ns), go)

    def _settled(self, name: str, book: RunBook, due_ns: int) -> int:
        """An instant decided on stays, however often it is asked for, until the clock or the place moves."""
        state = book.state
        key = (name, state.clock_ns, state.place, state.phase)
        return self._due.setdefault(key, due_ns)

    def _go_delay(self, book: RunBook, line: Rung) -> float:
        if line.starts_item:
            before = book.compiled.items[line.item - 1].planned.item if line.item else None
            mean, spread = _LENGTH_SPREAD_S[before.kind] if before else (20.0, 25.0)
            return self._normal(f"length {line.id}", mean, spread)
        if line.sees is not None:
            return self._normal(f"eye {line.id}", 0.0, 2.0)
        if self._uniform(f"lapse {line.id}") < 0.02:
            return 0.8 + self._uniform(f"lapse by {line.id}")  # looked away
        return self._normal(f"go {line.id}", 0.04, 0.09)

    def _answer(self, book: RunBook, now_ns: int) -> Act | None:
        """Departments answer a standby a second or two after it."""
        on_and_later = book.state.marks[book.state.item :]
        if not any(m.status == "standby" for marks in on_and_later for m in marks.values()):
            return None
        said = [r for r in book.records if isinstance(r.input, c.Standby)]
        after_s = 0.7 + self._uniform(f"answer {len(said)}")
        return Act(max(now_ns, said[-1].t_ns + _ns(after_s)), c.Answer())

    def _crew(self, book: RunBook, go: Rung, now_ns: int) -> Act | None:
        """The positions give their clearances when the go comes near."""
        for clearance_id in go.needs:
            there, _ = standing(book.compiled, book.state, clearance_id, now_ns)
            if there:
                continue
            clearance = next(x for x in book.compiled.plan.show.clearances if x.id == clearance_id)
            value: float | None = None
            if isinstance(clearance, ReadingClearance):
                value = _reading(clearance, 0.3 + 0.4 * self._uniform(f"reading {go.id}"))
            lead_s = 6.0 + 14.0 * self._uniform(f"clear {clearance_id} {go.id}")
            due_ns = now_ns + _ns(max(0.2, go.in_s - lead_s))
            given = c.Clear(clearance_id, True, value, clearance.position)
            return Act(self._settled(f"clear {clearance_id} {go.id}", book, due_ns), given)
        return None

    def _held_until(self, book: RunBook, now_ns: int) -> int:
        held_at = book.state.held_at_ns or now_ns
        return max(now_ns, held_at + _ns(15.0 + 30.0 * self._uniform(f"hold {held_at}")))

    # Each draw has a name and its own generator, so that one more question changes no other answer.
    def _uniform(self, name: str) -> float:
        if name not in self._drawn:
            self._drawn[name] = Random(f"{self.seed} {name}").random()
        return self._drawn[name]

    def _normal(self, name: str, mean: float, spread: float) -> float:
        if name not in self._drawn:
            self._drawn[name] = Random(f"{self.seed} {name}").gauss(mean, spread)
        return self._drawn[name]


def _ns(seconds: float) -> int:
    return int(seconds * NS)
