"""Threads that only read stand still in one piece while something is about to fire.

Two threads that both want the interpreter take turns, also in the middle of a cue: whenever the engine's own
thread writes or sends, another that waits has its turn first, and that turn is the cue's lateness.
"""

import time
from dataclasses import dataclass

NEAR_NS = 1_500_000
"""So near to an instant nothing is read: what was begun before has ended when it comes."""

AFTER_NS = 400_000
"""Reading goes on so long after the instant: what fires then is in the journal and has left."""

STANDS_NS = 8_000_000
"""So long it stands still at most, however close the instants are;"""

READS_NS = 2_000_000
"""then it reads for so long whatever fires."""


@dataclass(slots=True)
class NextInstant:
    """When something fires next (monotonic ns); the loop's thread says it, others look."""

    due_ns: int = 0

    def near_ns(self, now_ns: int) -> int:
        """How long from now nothing is to be read; 0 if nothing is near."""
        until_ns = self.due_ns - now_ns
        return until_ns + AFTER_NS if -AFTER_NS < until_ns < NEAR_NS else 0


class StandsStill:
    """One thread that reads. What it has in hand has its stamp already, so that standing costs no truth."""

    def __init__(self, instant: NextInstant) -> None:
        self._instant = instant
        self._reads_until_ns = 0

    def while_near(self) -> None:
        """Wait, if something is about to fire, until it has."""
        now_ns = began_ns = time.monotonic_ns()
        while now_ns >= self._reads_until_ns and (left_ns := self._instant.near_ns(now_ns)):
            if now_ns - began_ns >= STANDS_NS:
                self._reads_until_ns = now_ns + READS_NS
                return
            time.sleep(left_ns / 1e9)  # in one piece: to wake and look would take the interpreter each time
            now_ns = time.monotonic_ns()

    def rest(self, for_ns: int) -> None:
        """Wait for so long; where that would end while something is about to fire, until it has."""
        until_ns = time.monotonic_ns() + for_ns
        time.sleep((for_ns + self._instant.near_ns(until_ns)) / 1e9)
