"""What waits for an instant that is near: requests, long ones sooner, and what a hand plays."""

import time

from showcaller.engine.runner import Runner

QUIET_NS = 600_000
"""Nearer than this to an instant no request is begun: its answer would hold up what is due, and push what
that needs out of the processor's caches. A request waits this long at most."""

_LONG_NS = 3_000_000
"""A request that takes long waits for an instant so near;"""

_LONG_WAITS_NS = 100_000_000
"""but not for longer than this, however close the instants stand."""

PLAYED_ROOM_NS = 3_000_000
"""What a hand plays is taken, and told to the devices, while nothing fires for so long;"""

_PLAYED_WAITS_NS = 250_000_000
"""but after this however close the instants stand, as soon as there is room for a request."""


class GivingWay:
    """For the loop's thread."""

    def __init__(self, runner: Runner) -> None:
        self._runner = runner
        self._quiet_for: int | None = None
        self._had_turn = True
        self._waits_since_ns = 0

    def is_quiet(self) -> bool:
        """An instant is so near that requests wait for it; but between two instants one has its turn, however
        close they stand."""
        due_ns = self._runner.next_ns
        if due_ns is None:
            return False
        wait_ns = self._runner.clock.monotonic_of(due_ns) - time.monotonic_ns()
        if not 0 < wait_ns < QUIET_NS or (due_ns != self._quiet_for and not self._had_turn):
            self._had_turn = True
            return False
        self._quiet_for, self._had_turn = due_ns, False
        return True

    def put_off(self, takes_long: bool) -> bool:
        """Whether a request that takes long, or not, is put off, since something is due soon. One that does
        not, by the other way, lets one that waits wait no longer."""
        due_ns, now_ns = self._runner.next_ns, time.monotonic_ns()
        near = due_ns is not None and 0 < self._runner.clock.monotonic_of(due_ns) - now_ns < _LONG_NS
        if not takes_long:
            return False
        self._waits_since_ns = self._waits_since_ns or now_ns
        if near and now_ns - self._waits_since_ns < _LONG_WAITS_NS:
            return True
        self._waits_since_ns = 0
        return False

    def play_on(self, wait_ns: int) -> int:
        """Do what a hand has played if it is due and nothing else is soon; what is left of the wait for
        that."""
        due_ns, now_ns = self._runner.played_ns, time.monotonic_ns()
        if due_ns is None or due_ns > now_ns or wait_ns <= QUIET_NS:
            return wait_ns
        if wait_ns <= PLAYED_ROOM_NS and now_ns - due_ns < _PLAYED_WAITS_NS:
            return wait_ns
        self._runner.play_on()
        return wait_ns - (time.monotonic_ns() - now_ns)
