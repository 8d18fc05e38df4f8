"""The second machine: follows as every desk does, nothing open to any device, and takes over when told to.

It never takes over by itself: in a network that is cut in two nobody can know which half the show is in.
"""

import contextlib
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from showcaller.engine.held_back import held_back, term_kept
from showcaller.engine.launch import LaunchError, open_runs, start_engine, waiting_engine
from showcaller.joining.apart import Untold, already_told, term_of, told_of
from showcaller.joining.asking_in import Known
from showcaller.joining.control import ask, of_door
from showcaller.joining.errors import JoinError
from showcaller.joining.guests import Guests, keep_guests, read_guests
from showcaller.joining.link import RunLink
from showcaller.joining.machine import Machine
from showcaller.joining.own_address import door_towards

GUESTS_S = 1.0
STAND_DOWN_S = 2.0
"""An engine that is heard has so long to let go."""
_LAST_RECORDS_S = 1.0
_SURELY_S = 1.0
"""A machine that is there is heard within less."""


@dataclass
class _Taking:
    """``asked``: the engine there was asked to let go, for ``asked_term``, which is ``agreed`` once it has;
    ``term`` is the highest that was heard of."""

    by: str
    since_s: float
    asked: bool = False
    ends_at: int | None = None
    planned: bool = False
    answered_s: float = 0.0
    term: int = 0
    asked_term: int = 0
    agreed: int = 0


class SecondMachine(RunLink):
    """A link that can take over. ``done`` once an engine runs here. ``own_port`` is that of this machine's
    own door, 0 while it has none."""

    def __init__(self, machine: Machine, runs: Path, doors: list[Known]) -> None:
        super().__init__(machine, runs, doors)
        self.own_port = 0
        self.done = False
        self.guests_changed = False
        self._guests_s = self._told_s = -1e9
        self._taking: _Taking | None = None
        self._wanted: tuple[str, float] | None = None
        """Who wants the show here, and since when, that is kept and not followed yet: until it is, or its
        machine is silent for sure."""
        self._untold: Untold | None = None
        self._waiting: subprocess.Popen[bytes] | None = None

    @property
    def can_take_over(self) -> bool:
        """Whether this machine was let in as the second one."""
        if self.far.hello is not None:
            return self.far.hello.get("seat") == "engine"
        return self._waiting is not None or self._kept_run() is not None

    def _kept_run(self) -> Path | None:
        """The run that was followed last and is on elsewhere, if this machine is one that can take over."""
        if all(guest.seat != "engine" for guest in read_guests(self.runs).by_key.values()):
            return None
        return next((f for f in reversed(open_runs(self.runs)) if held_back(f, time.time())), None)

    def look(self) -> None:
        """One turn."""
        super().look()
        now_s = time.monotonic()
        if self.can_take_over and self.copy is not None:
            self._get_ready(now_s)
        if self._wanted is not None:
            self._take_kept(*self._wanted, now_s)
        if self._taking is not None:
            self._take(self._taking, now_s)

    def _take_kept(self, by: str, since_s: float, now_s: float) -> None:
        kept, late = self._kept_run(), now_s - since_s > 2 * STAND_DOWN_S
        if self.copy is not None:
            if len(self.copy) or not self.behind:
                self._wanted = None
                self.take_over(by)
        elif kept is not None and self.far.engine_silent_s > _SURELY_S and (late or not self._hears_others()):
            self._wanted = None
            self._start(kept, term_kept(kept) + 1, by, False)
        elif kept is None or late:
            self._wanted = None
            self.trouble = (
                "the show is on there, and its log is not here yet: take over once more in a moment"
            )

    def _get_ready(self, now_s: float) -> None:
        at = self.far.at
        known = read_guests(self.runs) if self._untold is None else None
        if known is not None and at.key not in known.by_key:  # before more is heard, this much is known
            with contextlib.suppress(OSError, ValueError):
                known.admit(at.key, at.name, "engine", time.time(), at.door)
                keep_guests(self.runs, known)
                self.guests_changed = True
        if self._waiting is None or self._waiting.poll() is not None:
            with contextlib.suppress(OSError):
                self._waiting = waiting_engine(self.runs / "joining.log")
        if now_s - self._guests_s > GUESTS_S and self.far.is_live:
            self._guests_s = now_s
            own = read_guests(self.runs).as_data()
            self.far.ask({"kind": "guests", "door": self.own_door(), **own}, self._take_guests)
        if self._untold is None and self.copy is not None:
            self._untold = Untold(self.copy.folder)
        if self._untold is not None and self._untold.chunks and now_s - self._told_s > 1.0:
            self._told_s = now_s
            self.far.ask({"kind": "apart", **self._untold.chunks[0]}, self._told)

    def _told(self, answer: dict[str, Any]) -> None:
        if answer["ok"] and self._untold is not None:
            self._untold.told()
            self._told_s = -1e9

    def own_door(self) -> str:
        """Where this machine's own door is, seen from the other; empty while it has none."""
        return door_towards(self.far.at.door, self.own_port)

    def _take_guests(self, answer: dict[str, Any]) -> None:
        """Whoever is let in there is let in here too."""
        known = read_guests(self.runs)
        if known.merge(Guests.from_data(answer), self.machine.key):
            with contextlib.suppress(OSError):
                keep_guests(self.runs, known)
                self.guests_changed = True

    def take_over(self, by: str) -> None:
        """Take the run over, on somebody's word (``by``). An engine that is heard is asked to let go first.

        Raises:
            JoinError: this machine cannot; one sentence.
        """
        if not self.can_take_over:
            raise JoinError("this machine was not let in as the second one, so it cannot take over")
        if self.copy is None and self._kept_run() is not None:
            self._wanted = by, time.monotonic()
            return
        if self.copy is None:
            raise JoinError("no show is followed here, so there is none to take over")
        if not len(self.copy) and self.behind:
            raise JoinError("the show's log is not here yet, so it cannot go on here; once more in a moment")
        if self._taking is not None:
            return
        self._taking = _Taking(by, time.monotonic())
        if not self._ask_to_let_go(self._taking) and not self._hears_others():
            self._taking.ends_at, self._taking.answered_s = 0, time.monotonic()

    def _ask_to_let_go(self, taking: _Taking) -> bool:
        if self.far.hello is None or self.far.silent_s > 1.0 or self.copy is None:
            return False
        taking.asked_term = max(self.far.term, taking.term) + 1
        asked = {"kind": "stand_down", "run": self.copy.run_id, "term": taking.asked_term}
        taking.asked = self.far.ask({**asked, "door": self.own_door()}, self._let_go)
        return taking.asked

    def _hears_others(self) -> bool:
        """Whether this machine's door hears another's, although the line here is still down: it is waited
        for, so that an engine there lets go, and what it has done is here before another begins."""
        return bool(self._tell_door({"do": "status"}).get("hears_others"))

    def _let_go(self, answer: dict[str, Any]) -> None:
        taking = self._taking
        if taking is not None and answer["ok"]:
            taking.ends_at, taking.planned = int(answer["seq"]), bool(answer["ended"])
            taking.term, taking.agreed = int(answer.get("term", 0)), taking.asked_term
            taking.answered_s = time.monotonic()
        elif taking is not None and int(answer.get("term", -1)) > taking.term:
            taking.term = int(
                answer["term"]
            )  # it is in a later term than was known here: once more, above it
            taking.asked = False

    def _take(self, taking: _Taking, now_s: float) -> None:
        assert self.copy is not None
        if taking.ends_at is None:
            if not taking.asked:
                self._ask_to_let_go(taking)
            if now_s - taking.since_s < STAND_DOWN_S:
                return
            taking.ends_at, taking.answered_s = 0, now_s  # heard a moment ago, and it does not answer
        has = len(self.copy) >= taking.ends_at
        if has or now_s - taking.answered_s > _LAST_RECORDS_S:
            self._taking = None
            # Where the one there has let go, what it tells of the term by now is of this machine itself.
            heard = taking.term if taking.agreed else max(taking.term, self.far.term)
            self._promote(taking.by, taking.planned and has, max(heard + 1, taking.agreed))

    def _promote(self, by: str, planned: bool, term: int) -> None:
        """Start the engine where the log ends."""
        assert self.copy is not None
        folder = self.copy.folder
        self.leave(self._clock())
        self._start(folder, max(term, term_kept(folder) + 1), by, planned)

    def _start(self, folder: Path, term: int, by: str, planned: bool) -> None:
        raised = {"term": term, "machine": self.machine.name, "by": by, "planned": planned}
        waiting, self._waiting = self._waiting, None
        # Whoever hears this machine lets go before an engine fires here, not after.
        self._tell_door({"do": "announce", "run": folder.name, "term": term})
        try:
            start_engine(folder, takes_over=raised, waiting=waiting)
            self.done = True
        except LaunchError as error:
            self.trouble = f"this machine could not take over: {error}"
        self._tell_door({"do": "find engine", "began": self.done})

    def _tell_door(self, what: dict[str, Any]) -> dict[str, Any]:
        """To this machine's own door, by which others hear of it; how it stands, empty without one."""
        with contextlib.suppress(JoinError):
            return ask(of_door(self.runs), what, 0.5)
        return {}

    def tell_apart(self, before: list[bytes], bodies: list[bytes]) -> None:
        """What an engine here did in an earlier term, unheard: the one that counts is to know of it."""
        if self.copy is None or not self.can_take_over:
            return
        texts = told_of(bodies, already_told(self.copy.all()))
        if texts:
            self._untold = self._untold or Untold(self.copy.folder)
            self._untold.add(term_of(before), texts)

    def status(self) -> dict[str, Any]:
        """As of every link, and whether it can take over and is about to."""
        more = {
            "can_take_over": self.can_take_over,
            "taking": (self._taking or self._wanted) is not None,
            "done": self.done,
        }
        untold = 0 if self._untold is None else len(self._untold.chunks)
        return {**super().status(), **more, "untold": untold}

    def leave(self, clock: Any = None) -> None:
        self._untold = None
        super().leave(clock)

    def close(self) -> None:
        """Let go of everything."""
        if self._waiting is not None and self._waiting.stdin is not None:
            self._waiting.stdin.close()
            self._waiting.returncode = 0
        super().close()
