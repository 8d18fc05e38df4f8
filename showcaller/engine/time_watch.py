"""Noticing that time did something odd: this process stood still, the machine slept, the time of day was
set."""

import time
from collections.abc import Callable, Iterator

from showcaller.run import events as ev

STALLED_S = 0.25
SET_S = 0.5


def _asleep_ns() -> int:
    """How long the machine has slept since it was started, where the system tells; nanoseconds."""
    boot = getattr(time, "CLOCK_BOOTTIME", None)
    try:
        return 0 if boot is None else time.clock_gettime_ns(boot) - time.monotonic_ns()
    except OSError:
        return 0


class Watch:
    """``look`` is called at every turn of the engine's loop."""

    def __init__(
        self,
        now_s: Callable[[], float] = time.monotonic,
        wall_s: Callable[[], float] = time.time,
        asleep_ns: Callable[[], int] = _asleep_ns,
    ) -> None:
        self._now_s, self._wall_s, self._asleep_ns = now_s, wall_s, asleep_ns
        self._last_s: float | None = None
        self._offset_s = 0.0
        self._asleep = asleep_ns()

    def look(self, meant_s: float, watch_wall: bool) -> Iterator[ev.Event]:
        """What has happened since the last call, between which ``meant_s`` at most should have passed."""
        now_s = self._now_s()
        last_s, self._last_s = self._last_s, now_s
        offset_s, asleep = self._wall_s() - now_s, self._asleep_ns()
        slept_s = (asleep - self._asleep) / 1e9
        self._asleep = asleep
        if last_s is None:
            self._offset_s = offset_s
            return
        if slept_s > STALLED_S:
            yield ev.EngineStalled(for_s=round(slept_s, 3), why="the machine slept")
        elif now_s - last_s - meant_s > STALLED_S:
            passed_s = round(now_s - last_s - meant_s, 3)
            yield ev.EngineStalled(for_s=passed_s, why="the engine was held up")
        shift_s = offset_s - self._offset_s - slept_s
        if watch_wall and abs(shift_s) > SET_S:
            yield ev.WallClockSet(shift_s=round(shift_s, 3))
        # Slow corrections by a time server are none of our business; a step is.
        self._offset_s = offset_s
