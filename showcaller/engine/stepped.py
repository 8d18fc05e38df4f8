"""A run carried out from instant to instant, in the process that asks for it: for a simulated caller.

The same runner, journal and outlets as the engine's process; only the clock is another. It stands until it is
moved, so that a busy machine makes a run longer and never late.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from filelock import FileLock, Timeout

from showcaller.engine.clock import RunClock
from showcaller.engine.launch import LaunchError
from showcaller.engine.opening import open_run
from showcaller.engine.outlets import open_outlet
from showcaller.engine.protocol import LOCK_FILE
from showcaller.engine.runner import Runner, encode_all
from showcaller.run import commands as c
from showcaller.values import field


@dataclass(slots=True)
class _Hand:
    """Where the clock was put, run time in ns."""

    now_ns: int = 0


class SteppedClock(RunClock, frozen=True):
    """A run's clock that shows what it was put to. What is due at that instant is due now."""

    hand: _Hand = field(default_factory=_Hand)

    def now_ns(self) -> int:
        """Run time now."""
        return self.hand.now_ns

    def wall_ns(self, run_ns: int) -> int:
        """The rehearsed time of day that goes with a run time."""
        return self.wall0_ns + run_ns

    def monotonic_of(self, run_ns: int) -> int:
        """The machine's monotonic instant of a run time."""
        return time.monotonic_ns() + int((run_ns - self.hand.now_ns) / self.speed)


class SteppedRun:
    """A new run in ``folder``; ``publish`` gets the bytes of every record.

    Raises:
        LaunchError: another engine has the folder.
        DocumentError, JournalError, RunFileError, EncodeError, OSError: it cannot be opened; one sentence.
    """

    def __init__(self, folder: Path, speed: float, wall0_ns: int, publish: Callable[[bytes], None]) -> None:
        self._lock = FileLock(folder / LOCK_FILE)
        try:
            self._lock.acquire(blocking=False)
        except Timeout:
            raise LaunchError(f"another engine has {folder.name} open already") from None
        opened = open_run(folder, speed, wall0_ns)
        clock = opened.clock
        self._clock = SteppedClock(clock.base_ns, clock.speed, clock.boot, clock.wall0_ns)
        self._journal = opened.journal
        self._runner = Runner(opened.compiled, self._clock, opened.journal, publish, lambda: None)
        self._ports = {o.id: open_outlet(o, self._runner.report) for o in opened.compiled.plan.show.outlets}
        self._runner.use_outlets(self._ports, encode_all(opened.compiled, self._ports))
        self._journal.report = self._runner.report
        self._tidied_s = time.monotonic()

    @property
    def now_ns(self) -> int:
        """Where the clock stands."""
        return self._clock.hand.now_ns

    @property
    def next_ns(self) -> int | None:
        """When something next fires by itself; None if nothing will."""
        return self._runner.next_ns

    def take(self, given: c.Input, at_ns: int) -> str | None:
        """Put the clock to ``at_ns``, never back, and give this; why it was refused, None if it was not."""
        self._clock.hand.now_ns = max(self.now_ns, at_ns)
        out = self._runner.take(given, self.now_ns)
        self._runner.take_reports()
        self._tell()
        if time.monotonic() - self._tidied_s > 0.2:
            self._journal.tidy()
            self._tidied_s = time.monotonic()
        return out.refused

    def _tell(self) -> None:
        """Tell cue lights and cameras' tallies what has changed, as the engine's loop does."""
        while (due_ns := self._runner.played_ns) is not None and due_ns <= time.monotonic_ns():
            self._runner.play_on()

    def close(self) -> None:
        """Send what is queued, log what the outlets have said, close the journal."""
        for port in self._ports.values():
            port.close()
        self._runner.take_reports()
        self._journal.close(over=self._runner.state.phase == "ended")
        self._lock.release()
