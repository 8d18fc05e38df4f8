"""Work beside the window that leaves Python's lock to the window while the window wants it. No Qt."""

import time
from collections.abc import Callable

TURN_S = 0.001
"""Work goes on for so long before it looks whether the lock is wanted."""

NOTICED_S = 0.0001
"""Whatever else the program did while the lock was given away, if it took longer than this."""

ASIDE_S = 0.004
"""For so long it is left to whoever wants it: half of what painting a frame takes."""


class StandingAside:
    """Called between the steps of some work, by its thread: waits there while another thread is at work.

    Two threads that both want the lock take turns, so that whatever the window does takes twice as long. Here
    the work gives the lock away once a millisecond; where the program's other threads did something meanwhile
    the work sleeps for a moment in which they have all of it. It never sleeps longer, in all, than it has
    worked; while the window rests it costs next to nothing.

    ``used_s`` is the processor time of the whole program. How late the lock comes back would not do: on a
    busy machine it comes late also where nobody here wanted it.
    """

    def __init__(
        self,
        clock_s: Callable[[], float] = time.perf_counter,
        used_s: Callable[[], float] = time.process_time,
        sleep: Callable[[float], object] = time.sleep,
    ) -> None:
        self._clock_s, self._used_s, self._sleep = clock_s, used_s, sleep
        self._since_s = clock_s()
        self._left_s = ASIDE_S
        """For how long it may still stand aside."""

    def __call__(self) -> None:
        """Between two steps."""
        worked_s = self._clock_s() - self._since_s
        if worked_s < TURN_S:
            return
        self._left_s += worked_s
        used_s = self._used_s()
        self._sleep(0)
        if self._used_s() - used_s > NOTICED_S and self._left_s >= ASIDE_S:
            self._sleep(ASIDE_S)
            self._left_s -= ASIDE_S
        self._since_s = self._clock_s()
