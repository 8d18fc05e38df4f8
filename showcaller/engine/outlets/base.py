"""What every outlet does, and the worker thread of those whose sending can block."""

import queue
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

Reporter = Callable[[dict[str, Any]], None]
"""Takes an event of the run log (sent, failed, outlet); may be called from any thread."""

STALE_NS = 1_000_000_000
"""A message that could not leave for this long is dropped and reported: late is worse than not at all."""


@dataclass(frozen=True, slots=True)
class Letter:
    """One cue's messages to one outlet, ready to leave. ``due_ns`` is on the machine's monotonic clock.

    Without a cue (timecode) nothing is reported: there would be a hundred reports a second.
    """

    cue: str
    due_ns: int
    packets: tuple[bytes, ...]


class OutletPort(Protocol):
    """An open outlet."""

    def frame(self, body: bytes) -> bytes:
        """A message as it goes over this wire; done once, when the plan is loaded."""

    def send(self, letter: Letter) -> None:
        """Send now, or hand to the worker; returns at once either way."""

    def close(self) -> None:
        """Let go of the device."""


def sent(outlet: str, letter: Letter) -> dict[str, Any]:
    """The event of a letter that has left."""
    late_ms = (time.monotonic_ns() - letter.due_ns) / 1e6
    return {
        "kind": "sent",
        "outlet": outlet,
        "cue": letter.cue,
        "late_ms": round(late_ms, 3),
        "messages": len(letter.packets),
    }


def failed(outlet: str, letter: Letter, why: str) -> dict[str, Any]:
    """The event of a letter that did not leave."""
    return {"kind": "failed", "outlet": outlet, "cue": letter.cue, "why": why}


class Worker:
    """A thread that keeps one device open and sends to it in order.

    Subclasses give ``_open`` (raises OSError with the reason), ``_write`` (raises OSError), ``_shut`` and,
    if they can tell, ``_alive``.
    """

    retry_s = 1.0

    def __init__(self, outlet_id: str, report: Reporter) -> None:
        self.outlet_id = outlet_id
        self._report = report
        self._letters: queue.SimpleQueue[Letter | None] = queue.SimpleQueue()
        self._open_now = False
        self._last_why: str | None = None
        self._thread = threading.Thread(target=self._run, name=f"outlet {outlet_id}", daemon=True)

    def start(self) -> None:
        """Begin to open the device; call once the subclass is ready."""
        self._thread.start()

    def frame(self, body: bytes) -> bytes:
        """Most wires take a message as it is."""
        return body

    def send(self, letter: Letter) -> None:
        """Queue for the worker."""
        self._letters.put(letter)

    def close(self) -> None:
        """Send what is queued, then let go."""
        self._letters.put(None)
        self._thread.join(timeout=3)

    def _run(self) -> None:
        next_try = 0.0
        while True:
            if not self._open_now and time.monotonic() >= next_try:
                self._try_open()
                next_try = time.monotonic() + self.retry_s
            try:
                letter = self._letters.get(timeout=0.25)
            except queue.Empty:
                if self._open_now and not self._alive():
                    self._lost("the device went away")
                    next_try = 0.0
                continue
            if letter is None:
                self._shut()
                return
            self._deliver(letter)

    def _try_open(self) -> None:
        try:
            self._open()
        except OSError as error:
            self._say("closed", _reason(error))
        else:
            self._open_now = True
            self._say("open", "")

    def _deliver(self, letter: Letter) -> None:
        if not letter.cue:
            if self._open_now:
                self._carry(letter)
            return
        if self._open_now and not self._alive():
            self._lost("the device went away")
        if not self._open_now:
            self._try_open()
        if not self._open_now:
            self._report(failed(self.outlet_id, letter, self._last_why or "not connected"))
            return
        if time.monotonic_ns() - letter.due_ns > STALE_NS:
            self._report(failed(self.outlet_id, letter, "it could not leave within a second"))
            return
        try:
            for packet in letter.packets:
                self._write(packet)
        except OSError as error:
            self._lost(_reason(error))
            self._report(failed(self.outlet_id, letter, _reason(error)))
        else:
            self._report(sent(self.outlet_id, letter))

    def _carry(self, letter: Letter) -> None:
        try:
            for packet in letter.packets:
                self._write(packet)
        except OSError as error:
            self._lost(_reason(error))

    def _lost(self, why: str) -> None:
        self._shut()
        self._open_now = False
        self._say("closed", why)

    def _say(self, state: str, why: str) -> None:
        if state == "closed" and why == self._last_why:
            return  # said already; do not fill the log while a device stays away
        self._last_why = why if state == "closed" else None
        self._report({"kind": "outlet", "outlet": self.outlet_id, "state": state, "why": why})

    def _open(self) -> None:
        raise NotImplementedError

    def _write(self, packet: bytes) -> None:
        raise NotImplementedError

    def _shut(self) -> None:
        raise NotImplementedError

    def _alive(self) -> bool:
        return True


def _reason(error: OSError) -> str:
    return error.strerror.lower() if error.strerror else str(error)
