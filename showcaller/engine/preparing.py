"""Changes for tonight are worked out beside the run, and taken when no cue is near.

Working out another edition of a large show takes some hundredths of a second, in which nothing would fire.
"""

import contextlib
import sys
import threading
import time
from collections import deque
from collections.abc import Callable

from showcaller.engine.encode import EncodeError
from showcaller.engine.runner import Runner
from showcaller.run import commands as c
from showcaller.run.changing import edition
from showcaller.values import replace

ROOM_NS = 5_000_000
"""A change is taken while the next instant is at least this far off,"""

AT_LAST_NS = 250_000_000
"""or once it has waited this long."""

_GIVE_WAY_S = 0.0001
"""How long the loop waits at most for the interpreter while something is worked out."""

_NEAR_NS = 1_700_000
"""While an instant is so near nothing is worked out: a little longer than the loop is awake for it."""

_STANDS_NS = 300_000_000
"""But the work stands still no longer than this in all, however close the instants are."""

_AFTER_NS = 300_000
"""It goes on so long after the instant."""


class Preparer:
    """The changes that wait, oldest first.

    ``want`` and ``take`` belong to the loop's thread; ``wake`` is called from another when one is ready.
    """

    def __init__(self, runner: Runner, wake: Callable[[], None]) -> None:
        self._runner, self._wake = runner, wake
        self._waiting: deque[c.ChangeTonight] = deque()
        self._worker: threading.Thread | None = None
        self._ready: c.ChangeTonight | None = None
        self._ready_ns = 0

        self.due_ns = 0
        """When something fires next, monotonic; the loop's thread says it."""
        self._stood_ns = 0

    def want(self, given: c.ChangeTonight) -> None:
        """Make this change, after those that wait already."""
        self._waiting.append(given)
        self._begin()

    def _begin(self) -> None:
        if self._worker is None and self._waiting:
            self._worker = threading.Thread(target=self._prepare, args=(self._waiting[0],), daemon=True)
            self._worker.start()

    def _prepare(self, given: c.ChangeTonight) -> None:
        runner, usual_s = self._runner, sys.getswitchinterval()
        sys.setswitchinterval(_GIVE_WAY_S)
        self._stood_ns = 0
        sys.setprofile(self._stand_still)
        try:
            after = edition(runner.compiled, given)  # the step finds it there
            if not isinstance(after, str):
                with contextlib.suppress(EncodeError):  # the runner refuses it, and says why
                    runner.encode_ahead(after)
        except Exception:  # nothing that a desk sends may end the engine
            given = replace(
                given, cannot="that cannot be made of this show: make it in the book, for the next show"
            )
        finally:
            sys.setprofile(None)
            sys.setswitchinterval(usual_s)
        self._ready, self._ready_ns = given, time.monotonic_ns()
        self._wake()

    def _stand_still(self, *_call: object) -> None:
        """Between two calls of what is worked out: wait while an instant is near. Two threads that both want
        the interpreter take turns, and a turn of this one would be the lateness of a cue."""
        now_ns = time.monotonic_ns()
        while 0 < self.due_ns - now_ns < _NEAR_NS and self._stood_ns < _STANDS_NS:
            # In one piece: to wake and look again would take the interpreter away from the loop each time.
            time.sleep((self.due_ns - now_ns + _AFTER_NS) / 1e9)
            self._stood_ns -= now_ns - (now_ns := time.monotonic_ns())

    def take(self) -> bool:
        """Make the change that is ready, if this is the moment; whether one was made."""
        if self._ready is None:
            return False
        now_ns, due_ns = time.monotonic_ns(), self._runner.next_ns
        near = due_ns is not None and self._runner.clock.monotonic_of(due_ns) - now_ns < ROOM_NS
        if near and now_ns - self._ready_ns < AT_LAST_NS:
            return False
        given = self._ready
        self._waiting.popleft()
        self._ready = self._worker = None
        self._runner.take(given)
        self._begin()
        return True

    @property
    def is_ready(self) -> bool:
        """Whether one waits for its moment, so that the loop must come by soon."""
        return self._ready is not None
