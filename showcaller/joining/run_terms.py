"""Which machine has the run: the terms of the engines that are heard; letting go of it for a higher one."""

import contextlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import zmq

from showcaller.engine.held_back import hold_back
from showcaller.engine.protocol import JOURNAL_FILE
from showcaller.joining.asking_in import Known
from showcaller.joining.engine_side import EngineSide
from showcaller.joining.guests import Guest, Guests
from showcaller.joining.letting_go import LettingGo
from showcaller.joining.machine import Machine
from showcaller.joining.others import OtherDoors
from showcaller.joining.wire import SILENT_S

_LAST_S = 0.3

Answered = Callable[[dict[str, Any]], None]


class RunTerms:
    """``moved`` is where the run is that this machine has the log of, while another has it; ``moved_term``
    its term there."""

    def __init__(
        self, context: "zmq.Context[Any]", runs: Path, machine: Machine, engine: EngineSide, own_port: int
    ) -> None:
        self._runs, self._machine, self._engine = runs, machine, engine
        self._others = OtherDoors(context, machine, own_port)
        self._letting_go: LettingGo | None = None
        self._wait_for_it: list[Answered] = []
        self._heard_s: dict[str, float] = {}
        self.moved: Known | None = None
        self.moved_term = 0

    @property
    def own(self) -> int:
        """The term of the engine here."""
        return int((self._engine.hello or {}).get("term", 0))

    @property
    def counts(self) -> bool:
        """Whether the engine here is the one, as far as is known."""
        there = self._engine.is_here and self._engine.quiet_s < SILENT_S
        return there and self._letting_go is None

    def sockets(self) -> tuple[Any, ...]:
        """To be polled."""
        return self._others.sockets()

    def look(self, guests: Guests, now_s: float) -> None:
        """Hear the terms of other machines' engines; let go of the run once one is higher."""
        if self._engine.is_here and self.moved is not None and self._letting_go is None:
            self.moved = None  # it was taken over here again
        going = self._letting_go
        if going is not None and going.is_done() and self._has_last(going, now_s):
            self._gone(going)
        run = (self._engine.hello or {}).get("run", "") if self._engine.is_here else ""
        own = {"run": run, "term": self.own, "engine": self.counts}
        for key, told in self._others.poll(guests.by_key.values(), own, now_s):
            guest = guests.by_key.get(key)
            self._heard_s[key] = now_s
            if guest is not None:
                self.hear(guest, told)

    def have_told(self, guests: Guests, now_s: float) -> bool:
        """Whether every machine that can take over was heard within the last two seconds."""
        others = [g.key for g in guests.by_key.values() if g.seat == "engine" and g.door]
        return all(now_s - self._heard_s.get(key, -1e9) < 2.0 for key in others)

    def _has_last(self, going: LettingGo, now_s: float) -> bool:
        """Whether the last records of the engine here have come, or will not."""
        return going.has_all(len(self._engine.log)) or now_s > going.until_s + _LAST_S

    def _gone(self, going: LettingGo) -> None:
        self._engine.leave()
        ended = going.has_all(len(self._engine.log))
        self._letting_go = None
        self.moved, self.moved_term = Known(going.to.door, going.to.key, going.to.name), going.term
        for answered in self._wait_for_it:
            answered({"seq": len(self._engine.log), "ended": ended, "term": self.own})
        self._wait_for_it.clear()

    def hear_answer(self, number: tuple[int, int], answer: dict[str, Any]) -> None:
        """The engine here has answered something."""
        if self._letting_go is not None:
            self._letting_go.hear(number, answer)

    def hear(self, guest: Guest, told: dict[str, Any]) -> None:
        """A machine that can take over tells of its engine."""
        if guest.seat == "engine" and guest.door and told.get("engine"):
            if self._engine.is_here:
                self._compare(guest, told)
            else:
                self._hear_where(guest, told)

    def _compare(self, guest: Guest, told: dict[str, Any]) -> None:
        hello, term = self._engine.hello, int(told.get("term", 0))
        # Two that took over at once: one of them has to count, and it is the same one to both.
        higher = term > 0 and (term, guest.id) > (self.own, self._machine.id)
        if hello is not None and told.get("run") == hello["run"] and higher and self._letting_go is None:
            self._letting_go = LettingGo.begin(self._engine, guest, term)

    def _hear_where(self, guest: Guest, told: dict[str, Any]) -> None:
        """A run that this machine has the log of is on elsewhere: no engine is to start with it here."""
        run = str(told.get("run", ""))
        if not run.isalnum() or not (self._runs / run / JOURNAL_FILE).exists():
            return
        moved = Known(guest.door, guest.key, guest.name)
        if self.moved != moved:
            self.moved, self.moved_term = moved, int(told.get("term", 0))
            with contextlib.suppress(OSError):
                hold_back(self._runs / run, guest.name, self.moved_term)

    def stand_down(self, guest: Guest, do: dict[str, Any], answered: Answered) -> None:
        """A machine that takes over wants the engine here to let go first; it is told where the log ends."""
        hello = self._engine.hello
        if guest.seat != "engine" or hello is None or do.get("run") != hello["run"]:
            answered({"ok": False, "say": "that machine's seat cannot take over"})
        elif self._engine.is_here and self._engine.quiet_s < SILENT_S:
            self._wait_for_it.append(answered)
            self._compare(guest, do)
        else:
            with contextlib.suppress(OSError):
                if self._engine.folder is not None:
                    hold_back(self._engine.folder, guest.name, int(do["term"]))
            term = max(self.own, self.moved_term)
            answered({"seq": len(self._engine.log), "ended": False, "term": term})

    def drain(self) -> None:
        """Forget what has come."""
        for sock in self._others.sockets():
            with contextlib.suppress(zmq.Again):
                while True:
                    sock.recv_multipart(zmq.NOBLOCK)

    def close(self) -> None:
        """Let go of the others."""
        self._others.close()
