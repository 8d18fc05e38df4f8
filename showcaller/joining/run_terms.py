"""Which machine has the run: the terms of the engines that are heard; letting go of it for a higher one."""

import contextlib
import logging
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import zmq

from showcaller.engine.held_back import hold_back
from showcaller.engine.protocol import JOURNAL_FILE
from showcaller.joining.apart import chunks_of, told_of
from showcaller.joining.asking_in import Known
from showcaller.joining.beacon import TermBeacon
from showcaller.joining.engine_side import EngineSide
from showcaller.joining.guests import Guest, Guests
from showcaller.joining.last_heard import SILENT_S as UNHEARD_S
from showcaller.joining.last_heard import LastHeard
from showcaller.joining.letting_go import LettingGo
from showcaller.joining.machine import Machine
from showcaller.joining.others import OtherDoors
from showcaller.joining.wire import SILENT_S
from showcaller.values import replace

_TOLD_AT_ONCE = 2000
_ANNOUNCED_S = 3.0
"""An engine that takes over is there within less, as a rule."""
_log = logging.getLogger(__name__)

Answered = Callable[[dict[str, Any]], None]


class RunTerms:
    """``moved`` is where the run is that this machine has the log of, while another has it; ``moved_term``
    its term there."""

    def __init__(
        self,
        context: "zmq.Context[Any]",
        runs: Path,
        machine: Machine,
        engine: EngineSide,
        own: tuple[str, int],
    ) -> None:
        """``own`` is where this machine's door is open: address and port."""
        self._runs, self._machine, self._engine = runs, machine, engine
        self._others = OtherDoors(context, machine, own[1])
        self._beacon = TermBeacon(machine, *own)
        self._letting_go: LettingGo | None = None
        self._wait_for_it: list[Answered] = []
        self._to_tell: tuple[str, int] | None = None
        self._chunks: list[tuple[str, dict[str, Any]]] = []
        self._last = LastHeard()
        self._announced: tuple[str, int, float] = ("", 0, -1e9)
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
        return (*self._others.sockets(), *self._beacon.sockets())

    def due_ms(self, now_s: float) -> int:
        """In how many ms the others are to be told next."""
        return int(self._beacon.due_s(now_s) * 1000) + 1

    def look(self, guests: Guests, now_s: float) -> None:
        """Hear the terms of other machines' engines; let go of the run once one is higher."""
        if self.moved is not None:
            self._look_after_moved(self.moved, guests)
        going = self._letting_go
        if going is not None:
            going.tell(self._engine)
            if going.is_done() and (self._engine.read_on(going.folder) or now_s > going.until_s):
                self._gone(going)
        known, own = guests.by_key, self._own(now_s)
        told_by = self._beacon.poll(known.values(), own, now_s)
        for key, told in (*told_by, *self._others.poll(known.values(), own, now_s)):
            if key in known:
                self._note_heard(known[key], told, now_s)
                self.hear(known[key], told)
        for key in self._last.fell_silent(now_s):
            if key in known:
                _log.info("%.3f %s is not heard any more", time.monotonic(), known[key].name)

    def _look_after_moved(self, moved: Known, guests: Guests) -> None:
        if self._engine.is_here and self._letting_go is None:
            self.moved = None  # it was taken over here again
            return
        door = guests.by_key[moved.key].door if moved.key in guests.by_key else ""
        if door and door != moved.door:  # where it is may be told after it has taken over
            self.moved = replace(moved, door=door)

    def announce(self, run: str, term: int, now_s: float) -> None:
        """An engine is about to take over here, in this term: others are to let go before it fires."""
        self._announced = run, term, now_s + _ANNOUNCED_S
        self._beacon.hurry()

    def has_begun(self) -> None:
        """It has taken over. Should it be gone again already, what it did is known here all the same."""
        run = self._announced[0]
        if run.isalnum():
            self._engine.know(self._runs / run)

    def takes_over(self, now_s: float) -> bool:
        """Whether an engine is about to take over here."""
        return now_s < self._announced[2]

    def _own(self, now_s: float) -> dict[str, Any]:
        """What the others are told."""
        run, term, until_s = self._announced
        if now_s < until_s and term > (self.own if self._engine.is_here else 0):
            return {"run": run, "term": term, "engine": True}
        run = (self._engine.hello or {}).get("run", "") if self._engine.is_here else ""
        at = self._engine.raised_at if self._engine.is_whole else 0
        return {"run": run, "term": self.own, "engine": self.counts, "at": at}

    def _note_heard(self, guest: Guest, told: dict[str, Any], now_s: float) -> None:
        silent_s = self._last.heard(guest.key, now_s)
        if silent_s is not None:
            self._others.renew(guest.key)
            after = f"again after {silent_s:.2f} s" if silent_s else "for the first time"
            engine = f"its engine is in term {told.get('term')}" if told.get("engine") else "no engine there"
            _log.info("%.3f %s is heard %s: %s", time.monotonic(), guest.name, after, engine)

    def hears_others(self, guests: Guests, now_s: float) -> bool:
        """Whether another machine that can take over was heard just now, with an engine or without."""
        others = [g.key for g in guests.by_key.values() if g.seat == "engine" and g.door]
        return any(self._last.within(key, UNHEARD_S, now_s) for key in others)

    def have_told(self, guests: Guests, now_s: float) -> bool:
        """Whether every machine that can take over was heard within the last two seconds."""
        others = [g.key for g in guests.by_key.values() if g.seat == "engine" and g.door]
        return all(self._last.within(key, 2.0, now_s) for key in others)

    def _gone(self, going: LettingGo) -> None:
        """No engine runs here any more, and what it did is here, unless its journal cannot be read."""
        self._engine.leave()
        ended = self._engine.has_let_go
        self._letting_go = None
        _log.info("%.3f the engine here has let go", time.monotonic())
        self._to_tell = going.to.key, self.own
        self.moved, self.moved_term = Known(going.to.door, going.to.key, going.to.name), going.term
        for answered in self._wait_for_it:
            answered({"seq": len(self._engine.log), "ended": ended, "term": self.own})
        self._wait_for_it.clear()

    def hear(self, guest: Guest, told: dict[str, Any]) -> None:
        """A machine that can take over tells of its engine."""
        if guest.seat == "engine" and guest.door and told.get("engine"):
            self._tell_apart(guest, told)
            if self._engine.is_here:
                self._compare(guest, told)
            else:
                self._hear_where(guest, told)

    def _tell_apart(self, guest: Guest, told: dict[str, Any]) -> None:
        """The engine that counts now began at one record: what the one here did from there on, nobody there
        knows, and somebody may give the same go in a moment. The link tells all of it again, once it has
        compared the logs, and what was told is not taken twice."""
        if self._to_tell is not None and self._to_tell[0] == guest.key and told.get("at"):
            term, self._to_tell = self._to_tell[1], None
            log, at = self._engine.log, int(told["at"])
            if int(told.get("term", 0)) > term and 0 < len(log) - at + 1 <= _TOLD_AT_ONCE:
                self._chunks = [
                    (guest.key, c) for c in chunks_of(term, told_of(log.slice(at - 1, _TOLD_AT_ONCE)))
                ]
        while self._chunks and self._others.ask(self._chunks[0][0], {"kind": "apart", **self._chunks[0][1]}):
            del self._chunks[0]  # the line may be down for a moment longer than the datagrams are

    def _compare(self, guest: Guest, told: dict[str, Any]) -> None:
        hello, term = self._engine.hello, int(told.get("term", 0))
        # Two that took over at once: one of them has to count, and it is the same one to both.
        higher = term > 0 and (term, guest.id) > (self.own, self._machine.id)
        if hello is not None and told.get("run") == hello["run"] and higher and self._letting_go is None:
            _log.info("%.3f %s has the show in term %d; here is term %d: the engine here lets go",
                      time.monotonic(), guest.name, term, self.own)  # fmt: skip
            self._letting_go = LettingGo.begin(self._engine, guest, term)

    def _hear_where(self, guest: Guest, told: dict[str, Any]) -> None:
        """A run that this machine has the log of is on elsewhere: no engine is to start with it here."""
        run = str(told.get("run", ""))
        moved = Known(guest.door, guest.key, guest.name)
        if self.moved == moved or not run.isalnum() or not (self._runs / run / JOURNAL_FILE).exists():
            return
        own = self._engine.know(self._runs / run)
        if self._engine.is_here:  # it has begun just now
            self._compare(guest, told)
            return
        self.moved, self.moved_term = moved, int(told.get("term", 0))
        if own:
            self._to_tell = guest.key, self.own
        with contextlib.suppress(OSError):
            hold_back(self._runs / run, guest.name, self.moved_term)

    def stand_down(self, guest: Guest, do: dict[str, Any], answered: Answered) -> None:
        """A machine that takes over wants the engine here to let go first; it is told where the log ends."""
        run = str(do.get("run", ""))
        if guest.seat == "engine" and run.isalnum() and self._letting_go is None:
            self._engine.know(self._runs / run)
        hello = self._engine.hello
        if guest.seat != "engine" or not run.isalnum() or (hello is not None and run != hello["run"]):
            answered({"ok": False, "say": "that machine's seat cannot take over"})
        elif self._engine.is_here:
            going = self._letting_go
            self._compare(guest, do)
            if self._letting_go is None or (going is not None and int(do["term"]) < going.term):
                say = f"the show is in term {self.own} there; ask for a higher one"
                answered({"ok": False, "say": say, "term": self.own if going is None else going.term})
            else:
                self._wait_for_it.append(answered)
        else:  # none is here: none is to start any more either
            with contextlib.suppress(OSError):
                hold_back(self._runs / run, guest.name, int(do["term"]))
            term = max(self.own, self.moved_term)
            answered({"seq": len(self._engine.log), "ended": False, "term": term})

    def drain(self) -> None:
        """Forget what has come."""
        self._beacon.drain()
        for sock in self._others.sockets():
            with contextlib.suppress(zmq.Again):
                while True:
                    sock.recv_multipart(zmq.NOBLOCK)

    def close(self) -> None:
        """Let go of the others."""
        self._others.close()
        self._beacon.close()
