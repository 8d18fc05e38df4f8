"""This machine's end of a run that is on elsewhere: it follows, keeps the log, and serves the desks here."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import zmq

from showcaller.joining.asking_in import Known
from showcaller.joining.copy import Copy, clock_here
from showcaller.joining.errors import JoinError
from showcaller.joining.far_side import FarSide
from showcaller.joining.machine import Machine
from showcaller.joining.near_side import NearSide
from showcaller.joining.offset import Offset
from showcaller.joining.wire import BEAT_S

_IDLE_MS = 50
_ASK_AGAIN_S = 0.3
OUT = "this desk is not let in any more: ask at the caller's desk for a new code"
UNHEARD = "the caller's machine is not heard: call by voice; this desk keeps trying"


class RunLink:
    """Everything on one thread, by :meth:`look`. ``runs`` is where the followed runs are kept."""

    def __init__(self, machine: Machine, runs: Path, doors: list[Known]) -> None:
        self.machine, self.runs = machine, runs
        self.context: zmq.Context[Any] = zmq.Context(io_threads=1)
        self.far = FarSide(self.context, machine, doors)
        self.copy: Copy | None = None
        self.near: NearSide | None = None
        self.trouble = ""
        self._beat_s = self._asked_s = self._showed_s = -1e9
        self._offset: Offset | None = None
        self._checked: tuple[str, str] | None = None
        self._anew: list[bytes] | None = None
        self._anew_of: tuple[str, str] = ("", "")

    def look(self) -> None:
        """Wait a moment for something to come, and do all of it."""
        poller = zmq.Poller()
        near = () if self.near is None else self.near.sockets()
        for sock in (*self.far.sockets(), *near):
            poller.register(sock, zmq.POLLIN)
        poller.poll(_IDLE_MS)
        now_s = time.monotonic()
        has = 0 if self.copy is None else len(self.copy)
        for body in self.far.poll(has):
            self._add(body)
        self._follow(now_s)
        self._tell_before()
        if self.near is not None:
            self.near.poll()
        if now_s - self._beat_s >= BEAT_S:
            self._beat_s = now_s
            self._offset = self.far.offset()
            if self.near is not None and self.copy is not None and self.far.is_live:
                self.near.beat(self.copy.trouble or "")

    def _follow(self, now_s: float) -> None:
        hello = self.far.hello
        if hello is None or not hello.get("run") or self.far.out:
            return
        if self.copy is None or self.copy.run_id != hello["run"]:
            if now_s - self._showed_s > 1.0 and self._clock() is not None:
                self._showed_s = now_s
                self.far.ask({"kind": "show"}, self._begin)
            return
        if (not self.is_checked or self.behind > 0) and now_s - self._asked_s > _ASK_AGAIN_S:
            self._ask_log(now_s)

    def _ask_log(self, now_s: float) -> None:
        assert self.copy is not None
        self._asked_s = now_s
        whose = self.far.whose
        if self._anew is not None and self._anew_of != whose:
            self._anew = None
        # From the last one that is here: another in its place shows that the log is another.
        start = max(1, len(self.copy)) if self._anew is None else len(self._anew) + 1
        self.far.ask({"kind": "log", "from": start}, lambda answer: self._take_log(answer, whose))

    def _clock(self) -> Any:
        offset, hello = self.far.offset(), self.far.hello
        return None if offset is None or hello is None else clock_here(hello, offset.ns)

    @property
    def is_checked(self) -> bool:
        """Whether the log here is the beginning of the one that is told."""
        return self._checked is not None and self._checked == self.far.whose

    def _begin(self, answer: dict[str, Any]) -> None:
        """A run to follow."""
        hello, clock = self.far.hello, self._clock()
        if hello is None or clock is None or not answer["ok"]:
            return
        self.leave()
        try:
            who = str(hello.get("name", ""))[:40], self.far.term
            self.copy = Copy(self.runs, str(hello["run"]), str(answer["show"]), clock, who)
            self.near = NearSide(self.context, self.machine, self.copy, self.hand_on, self.about)
            self.trouble, self._offset = "", self.far.offset()
        except (JoinError, OSError) as error:
            self.leave()
            self.trouble = str(error)
            return
        self._checked = self._anew = None
        self._ask_log(time.monotonic())

    def _take_log(self, answer: dict[str, Any], whose: tuple[str, str]) -> None:
        if self.copy is None or not answer["ok"] or whose != self.far.whose:
            return
        if answer.get("log", whose[1]) != whose[1]:
            return  # of an engine that has begun there since
        bodies = [text.encode() for text in answer["records"]]
        if not self.is_checked:
            self._check(bodies, int(answer["from"]), int(answer["seq"]), whose)
            return
        for body in bodies:
            self._add(body)
        if bodies and self.behind > 0:
            self._ask_log(time.monotonic())

    def _check(self, bodies: list[bytes], start: int, seq: int, whose: tuple[str, str]) -> None:
        """Whether the log here is the beginning of the one that is told. If it is not, that one is fetched to
        its end before it takes the place of this: somebody may have to take over meanwhile."""
        assert self.copy is not None
        if self._anew is None and (seq < len(self.copy) or self.copy.differs(bodies)):
            self._anew, self._anew_of = [], whose
            self._ask_log(time.monotonic())
        elif self._anew is None:
            self._checked = whose
            for body in bodies:
                self._add(body)
        elif start == len(self._anew) + 1:
            self._anew += bodies
            if bodies and len(self._anew) < seq:
                self._ask_log(time.monotonic())
                return
            before = len(self.copy)
            self.copy.replace(self._anew)
            self._anew, self._checked = None, whose
            if self.near is not None and before:
                self.near.beat("")  # desks here hear that there is another log

    def _tell_before(self) -> None:
        """Once all of the log is here, what of the one before it lacks."""
        if self.copy is not None and self.copy.before and self.is_checked and self.behind == 0:
            self.tell_apart(self.copy.before, self.copy.apart())
            self.copy.told()

    def tell_apart(self, before: list[bytes], bodies: list[bytes]) -> None:
        """Of the log that was here ``before``, the records that only this machine has: what it did while it
        was not heard. A machine without an engine of its own did nothing."""

    def _add(self, body: bytes) -> None:
        if self.copy is None or not self.is_checked:
            return  # what is here may be another engine's
        if self.copy.add(body) and self.near is not None:
            self.near.publish(body)

    @property
    def behind(self) -> int:
        """How many records the log here lacks, as far as is known: one at least, until it is known to be the
        beginning of the one that is told."""
        seq = int(self.far.standing.get("seq", 0))
        return 0 if self.copy is None else max(0 if self.is_checked else 1, seq - len(self.copy))

    def hand_on(self, asked: dict[str, Any], took: Callable[[dict[str, Any]], None]) -> None:
        """A request of a desk here, to the engine."""
        offset = self._offset
        if not self.far.is_live or offset is None:
            took({"ok": False, "say": OUT if self.far.out else UNHEARD})
            return
        at = int(asked.get("at") or time.monotonic_ns()) + offset.ns
        if not self.far.ask(asked["do"], took, at=at, desk=asked.get("desk", "")):
            took({"ok": False, "say": UNHEARD})

    def about(self) -> dict[str, Any]:
        """The run's clock by this machine's, and how this machine stands to the other."""
        hello = self.far.hello or {}
        clock, offset = self._clock(), self._offset
        found: dict[str, Any] = {"term": self.far.term, "joined": self.status()}
        found["log"] = " ".join(self._checked or ())
        if clock is not None:
            found |= {"base_ns": clock.base_ns, "speed": clock.speed, "wall0_ns": clock.wall0_ns}
        return {
            **found,
            "seat": hello.get("seat", ""),
            "error_ns": None if offset is None else offset.error_ns,
        }

    def status(self) -> dict[str, Any]:
        """How it stands, for people and other programs."""
        far, offset = self.far, self._offset
        return {
            "door": far.at.door,
            "name": (far.hello or {}).get("name", far.at.name),
            "seat": (far.hello or {}).get("seat", ""),
            "run": "" if self.copy is None else self.copy.run_id,
            "folder": "" if self.copy is None else str(self.copy.folder),
            "has": 0 if self.copy is None else len(self.copy),
            "behind": self.behind,
            "silent_s": round(far.silent_s, 2),
            "live": far.is_live,
            "out": far.out,
            "term": far.term,
            "error_ms": None if offset is None else round(offset.error_ns / 1e6, 2),
            "trouble": self.trouble,
        }

    def leave(self, clock: Any = None) -> None:
        """Let go of the run that is followed."""
        if self.near is not None:
            self.near.close()
        if self.copy is not None:
            self.copy.close(clock)
        self.near = self.copy = None

    def close(self) -> None:
        """Let go of everything."""
        self.leave()
        self.far.close()
        self.context.destroy(linger=100)
