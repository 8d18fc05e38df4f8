"""The run's clock: nanoseconds since the run was opened, monotonic, faster than life in a rehearsal."""

import time
from pathlib import Path

from showcaller.values import Struct


class RunClock(Struct, frozen=True):
    """Run time from the machine's monotonic clock: ``run = (monotonic - base) × speed``.

    The monotonic clock is the machine's, so a new process with the same base shows the same time, until the
    machine is restarted; ``boot`` tells whether it has been. ``wall0_ns`` is the time of day at run time 0,
    real or, in a fast rehearsal, rehearsed.
    """

    base_ns: int
    speed: float
    boot: str
    wall0_ns: int = 0

    def now_ns(self) -> int:
        """Run time now."""
        return self.at(time.monotonic_ns())

    def at(self, monotonic_ns: int) -> int:
        """Run time at an instant of the machine's monotonic clock."""
        passed = monotonic_ns - self.base_ns
        return passed if self.speed == 1 else int(passed * self.speed)

    def wall_ns(self, run_ns: int) -> int:
        """The time of day that goes with a run time: the real one, unless the clock runs fast or slow."""
        return time.time_ns() if self.speed == 1 else self.wall0_ns + run_ns

    def monotonic_of(self, run_ns: int) -> int:
        """The machine's monotonic instant of a run time."""
        return self.base_ns + (run_ns if self.speed == 1 else int(run_ns / self.speed))


def new_clock(speed: float = 1.0, wall0_ns: int | None = None) -> RunClock:
    """A clock that shows 0 now; ``wall0_ns`` is the time of day to rehearse from, now by default."""
    return RunClock(time.monotonic_ns(), speed, boot_id(), time.time_ns() if wall0_ns is None else wall0_ns)


def continued(speed: float, run_ns: int, wall0_ns: int) -> RunClock:
    """A clock of this boot that shows ``run_ns`` now."""
    return RunClock(time.monotonic_ns() - int(run_ns / speed), speed, boot_id(), wall0_ns)


def boot_id() -> str:
    """A text that changes when the machine is restarted."""
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text().strip()
    except OSError:
        # Elsewhere: the moment of booting, to within the minutes that a wall clock may be set by.
        return f"booted {(time.time_ns() - time.monotonic_ns()) // 600_000_000_000}"
