"""MIDI Time Code sent while a song with a timecode start is on: quarter frames on their instants.

The code is that of the item's clock, so it stands while the show is held and jumps when the place does; each
beginning is announced by a full frame. A thread of its own sends it: nothing else waits for it.
"""

import threading
import time
from collections.abc import Callable, Sequence
from fractions import Fraction

from showcaller.engine.clock import RunClock
from showcaller.model import Song
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.state import RunState
from showcaller.timing.mtc import full_frame, quarter_frame, rate_code
from showcaller.timing.timecode import frame_number, rate_named
from showcaller.values import Struct

Send = Callable[[bytes], None]
_LATE_NS = 20_000_000
"""Found this late (the machine slept), the code begins anew instead of running after itself."""


class Running(Struct, frozen=True):
    """The code as it runs: frame ``start`` of the day at ``zero_ns`` of the machine's monotonic clock."""

    start: int
    zero_ns: int


def running_timecode(compiled: CompiledShow, clock: RunClock, state: RunState) -> Running | None:
    """The code that should be running in this state; None while none should."""
    item = compiled.plan.items[state.item].item
    if state.phase != "running" or state.clock_ns is None or state.stands:
        return None
    if not isinstance(item, Song) or item.timecode_start is None:
        return None
    rate = compiled.plan.show.timecode_rate
    return Running(frame_number(item.timecode_start, rate), clock.monotonic_of(state.clock_ns))


class TimecodeOut:
    """Sends the running code to outlets. ``look`` is called whenever the state may have changed."""

    def __init__(self, compiled: CompiledShow, clock: RunClock, sends: Sequence[Send]) -> None:
        """Raises ValueError where MIDI Time Code has no such rate."""
        self._rate = compiled.plan.show.timecode_rate
        rate_code(self._rate)
        self._clock, self._sends = clock, sends
        self._quarter_ns = Fraction(NS) / (4 * rate_named(self._rate).fps)
        self._timecode: Running | None = None
        self._changed = threading.Event()
        self._closing = False
        self._thread = threading.Thread(target=self._run, name="timecode out", daemon=True)
        self._thread.start()

    def look(self, compiled: CompiledShow, state: RunState) -> None:
        """Follow the state; cheap when nothing has changed."""
        timecode = running_timecode(compiled, self._clock, state)
        if timecode != self._timecode:
            self._timecode = timecode
            self._changed.set()

    def close(self) -> None:
        """Stop sending."""
        self._closing = True
        self._changed.set()
        self._thread.join(timeout=1)

    def _run(self) -> None:
        while not self._closing:
            self._changed.wait()
            self._changed.clear()
            timecode = self._timecode
            if timecode is not None:
                self._play(timecode)

    def _play(self, timecode: Running) -> None:
        """Send from the next even frame on, until the code is another."""
        begun = False
        quarter = 0
        while not self._closing and self._timecode is timecode:
            now_ns = time.monotonic_ns()
            if not begun:
                passed = Fraction(now_ns - timecode.zero_ns) / self._quarter_ns + 4 * timecode.start
                quarter = 8 * (int(passed) // 8 + 1)
                self._send(full_frame(quarter // 4, self._rate))
                begun = True
            due_ns = timecode.zero_ns + int((quarter - 4 * timecode.start) * self._quarter_ns)
            left_ns = due_ns - now_ns
            if left_ns < -_LATE_NS:
                begun = False
                continue
            if left_ns > 0 and self._changed.wait(left_ns / NS):
                return
            self._send(quarter_frame(quarter, self._rate))
            quarter += 1

    def _send(self, message: bytes) -> None:
        for send in self._sends:
            send(message)
