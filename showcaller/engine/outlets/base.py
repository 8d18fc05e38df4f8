"""What every outlet does, and the worker thread of those whose sending can block."""

import queue
import threading
import time
from typing import Protocol

from showcaller.engine.outlets.presence import Presence
from showcaller.run import events as ev
from showcaller.run.events import Reporter
from showcaller.values import Struct

STALE_NS = 1_000_000_000
"""A message that could not leave for this long is dropped and reported: late is worse than not at all."""


class OutboundBatch(Struct, frozen=True):
    """One cue's messages to one outlet, ready to leave. ``due_ns`` is on the machine's monotonic clock.

    Without a cue (timecode) nothing is reported: there would be a hundred reports a second.
    """

    cue: str
    due_ns: int
    packets: tuple[bytes, ...]


class OutletPort(Protocol):
    """An open outlet."""

    @property
    def is_free(self) -> bool:
        """Whether what is sent now leaves now: nothing that was given before waits."""

    def frame(self, body: bytes) -> bytes:
        """A message as it goes over this wire; done once, when the plan is loaded."""

    def send(self, letter: OutboundBatch) -> None:
        """Send now, or hand to the worker; returns at once either way."""

    def hold(self) -> None:
        """From here on nothing leaves, nor what waits: another machine sends now."""

    def close(self) -> None:
        """Let go of the device."""


def sent(outlet: str, letter: OutboundBatch) -> ev.MessagesSent:
    """The event of a letter that has left."""
    late_ms = (time.monotonic_ns() - letter.due_ns) / 1e6
    return ev.MessagesSent(
        outlet=outlet, cue=letter.cue, late_ms=round(late_ms, 3), messages=len(letter.packets)
    )


def failed(outlet: str, letter: OutboundBatch, why: str) -> ev.MessagesFailed:
    """The event of a letter that did not leave."""
    return ev.MessagesFailed(outlet=outlet, cue=letter.cue, why=why)


_NOTHING = OutboundBatch("", 0, ())


class Worker:
    """A thread that keeps one device open and sends to it in order.

    Subclasses give ``_open`` (raises OSError with the reason), ``_write`` (raises OSError), ``_shut`` and,
    if they can tell, ``_alive``.
    """

    look_s = 0.25
    """How often it is looked whether the device is still there."""

    def __init__(self, outlet_id: str, report: Reporter) -> None:
        self.outlet_id = outlet_id
        self._report = report
        self._letters: queue.SimpleQueue[OutboundBatch | None] = queue.SimpleQueue()
        self._presence = Presence(outlet_id)
        self._opening_since_ns: int | None = None
        self._why = "not connected"
        self._held = False
        self._turned_away = self._counted = 0  # the sender's, and the worker's
        self._thread = threading.Thread(target=self._run, name=f"outlet {outlet_id}", daemon=True)

    def start(self) -> None:
        """Begin to open the device; call once the subclass is ready."""
        self._thread.start()

    @property
    def is_free(self) -> bool:
        """Whether nothing waits for the device."""
        return self._letters.empty()

    def frame(self, body: bytes) -> bytes:
        """Most wires take a message as it is."""
        return body

    def send(self, letter: OutboundBatch) -> None:
        """Queue for the worker, unless that has been busy opening the device for too long already."""
        since_ns = self._opening_since_ns
        if since_ns is None or time.monotonic_ns() - since_ns < STALE_NS:
            self._letters.put(letter)
        elif letter.cue:
            self._turned_away += len(letter.packets)
            self._report(failed(self.outlet_id, letter, self._why))

    def hold(self) -> None:
        """Nothing leaves any more, nor what is queued."""
        self._held = True

    def close(self) -> None:
        """Send what is queued, then let go."""
        self._letters.put(None)
        self._thread.join(timeout=3)

    def _run(self) -> None:
        looked_s = 0.0
        while True:
            now_s = time.monotonic()
            if self._presence.due(now_s):
                self._try_open()
            try:
                letter = self._letters.get(timeout=self._wait_s())
            except queue.Empty:
                letter = _NOTHING
            if letter is None:
                self._shut()
                return
            now_s = time.monotonic()
            if now_s - looked_s >= self.look_s:  # however many letters come
                looked_s = now_s
                self._check()
                self._presence.unsent += self._turned_away - self._counted
                self._counted = self._turned_away
                self._say(self._presence.look(now_s))
            if letter is not _NOTHING and not self._held:
                self._deliver(letter)

    def _wait_s(self) -> float:
        left_s = self._presence.next_try_s - time.monotonic()
        return self.look_s if self._presence.here else min(self.look_s, max(0.01, left_s))

    def _try_open(self) -> None:
        self._opening_since_ns = time.monotonic_ns()
        try:
            self._open()
        except (OSError, UnicodeError) as error:  # a name with an empty label is a UnicodeError
            self._shut()
            self._why = reason(error)
            self._say(self._presence.failed(self._why, time.monotonic()))
        else:
            self._say(self._presence.opened(time.monotonic()))
        self._opening_since_ns = None

    def _check(self) -> bool:
        if self._presence.here and not self._alive():
            self._lost("the device went away")
        return self._presence.here

    def _deliver(self, letter: OutboundBatch) -> None:
        if not letter.cue:  # one of a hundred a second: no attempt, no look, for its sake
            if self._presence.here:
                self._carry(letter)
            return
        if not self._check():
            self._presence.nudge(time.monotonic())
            if self._presence.due(time.monotonic()):
                self._try_open()
        if not self._presence.here:
            self._not_sent(letter, self._why)
        elif time.monotonic_ns() - letter.due_ns > STALE_NS:
            self._not_sent(letter, "it could not leave within a second")
        else:
            self._carry(letter)

    def _carry(self, letter: OutboundBatch) -> None:
        try:
            for packet in letter.packets:
                self._write(packet)
        except OSError as error:
            self._lost(reason(error))
            self._not_sent(letter, reason(error))
        else:
            if letter.cue:
                self._report(sent(self.outlet_id, letter))

    def _not_sent(self, letter: OutboundBatch, why: str) -> None:
        if letter.cue:
            self._presence.unsent += len(letter.packets)
            self._report(failed(self.outlet_id, letter, why))

    def _lost(self, why: str) -> None:
        self._shut()
        self._why = why
        self._say(self._presence.lost(why, time.monotonic()))

    def _say(self, event: ev.Event | None) -> None:
        if event is not None:
            self._report(event)

    def _open(self) -> None:
        raise NotImplementedError

    def _write(self, packet: bytes) -> None:
        raise NotImplementedError

    def _shut(self) -> None:
        """Let go of the device, also of one half open or gone."""
        raise NotImplementedError

    def _alive(self) -> bool:
        return True


def reason(error: OSError | UnicodeError) -> str:
    """Why, in the system's own words."""
    if isinstance(error, UnicodeError):
        return "it is not the name of a machine; correct its address in the Book"
    return error.strerror.lower() if error.strerror else str(error)
