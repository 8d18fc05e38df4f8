"""Where departments' desks are heard by MIDI: one input for all desks that report there."""

import threading
import time
from collections.abc import Callable, Sequence

from showcaller.engine.datagrams import Say
from showcaller.engine.midi_in import MidiInput
from showcaller.engine.near import NextInstant, StandsStill
from showcaller.engine.remote.limits import PACKETS_BURST, PACKETS_PER_S, Allowance, Complaints
from showcaller.engine.reports.desk import DeskHeard
from showcaller.engine.reports.meaning import midi_means
from showcaller.model.reports import MidiReports, MscReports
from showcaller.run.events import Event, TimecodePortState

_REST_NS = 5_000_000
"""So often a flooded input is read: sooner than any wire fills its queue."""

_QUEUE = 1024
"""Messages that the port's queue holds; so many are read at once at most."""

_OVER = PACKETS_BURST / 2
"""A flood is over once so many messages are allowed again: a second of less than what is read."""


class MidiHeard(MidiInput):
    """One MIDI input, for all desks that report there.

    Each message calls on the MIDI system's own thread, at once, so that its instant is true. Under a flood
    that would take the interpreter from the engine's own thread a thousand times a second, also in the middle
    of a cue, and a MIDI system's thread must not be kept waiting. So then nothing is called: messages wait in
    the port's queue, and the thread that looks after the port reads them when no cue is near, their instants
    made of the time between them, which the port has noted.
    """

    def __init__(
        self,
        words: str,
        desks: Sequence[tuple[str, MscReports | MidiReports]],
        heard: Callable[[DeskHeard], None],
        say: Say,
        instant: NextInstant,
    ) -> None:
        self._desks, self._post, self._tell = desks, heard, say
        self._stands = StandsStill(instant)
        self._allowed, self._complaints = Allowance(PACKETS_BURST, PACKETS_PER_S), Complaints()
        self._flooded = False
        self._came_ns = self._read_ns = 0
        self._roused, self._in_use = threading.Event(), threading.Lock()
        super().__init__(words, "reports in", self._state, sysex=True)
        self.start()

    def _state(self, event: Event) -> None:
        if isinstance(event, TimecodePortState):
            self._tell(event.state, "", event.why)

    def _take(self, message: bytes) -> None:
        self._came_ns = time.monotonic_ns()
        if self._read(message, self._came_ns) or not self._in_use.acquire(blocking=False):
            return  # who has it closes the port, and this thread must not wait
        try:
            if self._in is None:
                return
            self._in.cancel_callback()  # no other thread may: this one would use what it takes away
            while self._in.get_message() is not None:
                pass  # left over from the flood before, and too old to be told now
            self._read_ns, self._flooded = self._came_ns, True
        finally:
            self._in_use.release()
        self._roused.set()

    def _read(self, message: bytes, at_ns: int) -> bool:
        """Take a message; False if more came than is read."""
        if not self._allowed.take(at_ns):
            source = f"MIDI from {self._name}"
            why = f"more than {PACKETS_PER_S} messages a second come from there; the rest is ignored"
            words = self._complaints.about(source, "flood", why, at_ns)
            if words is not None:
                self._tell("unread", source, words)
            return False
        for department, report in self._desks:
            number = midi_means(report, message)
            if number is not None:
                self._post(DeskHeard(department, number, f"MIDI from {self._name}", at_ns))
        return True

    def _pause(self) -> bool:
        for source, sentence in self._complaints.overdue(time.monotonic_ns()):
            self._tell("unread", source, sentence)
        until_ns = time.monotonic_ns() + int(self.look_s * 1e9)
        if not self._flooded:
            self._roused.wait(self.look_s)
            self._roused.clear()
        while self._flooded and not self._stop.is_set() and time.monotonic_ns() < until_ns:
            self._stands.rest(_REST_NS)
            self._drain()
        self._stands.while_near()  # a look at the ports takes long
        return self._stop.is_set()

    def _drain(self) -> None:
        """Read what waits in the port's queue."""
        began_ns = time.monotonic_ns()
        for _ in range(_QUEUE):
            found = self._in.get_message()
            if found is None:
                break
            message, since_s = found
            # It was not there when the queue was last read to its end.
            came_ns = self._came_ns + round(since_s * 1e9)
            self._came_ns = min(max(came_ns, self._read_ns), time.monotonic_ns())
            self._read(bytes(message), self._came_ns)
            self._stands.while_near()
        else:
            began_ns = self._read_ns  # the rest of it has been there for longer
        self._read_ns = began_ns
        if self._allowed.has(began_ns) >= _OVER:
            self._flooded = False
            self._called()

    def close(self) -> None:
        """Let go of the device."""
        self._stop.set()
        self._roused.set()
        super().close()

    def _shut(self) -> None:
        with self._in_use:
            super()._shut()
            self._flooded = False
