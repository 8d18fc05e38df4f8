"""What every timecode port does: a thread that keeps a device open, and posts what it hears."""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Protocol

from showcaller.engine.program import to_ns
from showcaller.timing.timecode import rate_named

Reporter = Callable[[dict[str, Any]], None]
"""Takes an event of the run log; may be called from any thread."""


@dataclass(frozen=True, slots=True)
class Heard:
    """The code was at ``position_ns`` from midnight at ``at_ns`` of the machine's monotonic clock.

    ``whole`` is False between the starts of frames.
    """

    position_ns: int
    at_ns: int
    whole: bool = True


Post = Callable[[Heard], None]
"""Takes what was heard; may be called from any thread."""


class CodePort(Protocol):
    """A place where timecode is heard."""

    def close(self) -> None:
        """Let go of the device."""


def position_ns(frames: Fraction | int, rate: str) -> int:
    """So many frames from midnight, in ns."""
    return to_ns(frames / rate_named(rate).fps)


class Listener:
    """A thread that opens a device, again and again until it is there, and looks whether it still is.

    Subclasses give ``_open`` (raises OSError with the reason), ``_shut`` and ``_alive``; none of them is
    called before ``start`` or from another thread.
    """

    retry_s = 1.0
    look_s = 0.25

    def __init__(self, report: Reporter) -> None:
        self._report = report
        self._said: tuple[str, str] | None = None
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="timecode in", daemon=True)

    def start(self) -> None:
        """Begin; call once the subclass is ready."""
        self._thread.start()

    def close(self) -> None:
        """Let go of the device."""
        self._stop.set()
        self._thread.join(timeout=3)

    def say(self, state: str, why: str = "") -> None:
        """Report how the port is, once for as long as it stays so."""
        if (state, why) != self._said:
            self._said = (state, why)
            self._report({"kind": "timecode_port", "state": state, "why": why})

    def _run(self) -> None:
        while not self._stop.is_set():
            try:
                self._open()
            except OSError as error:
                self.say("closed", str(error))
                self._stop.wait(self.retry_s)
                continue
            self.say("open")
            while self._alive() and not self._stop.wait(self.look_s):
                pass
            self._shut()
            if not self._stop.is_set():
                self.say("closed", "the device went away")

    def _open(self) -> None:
        raise NotImplementedError

    def _alive(self) -> bool:
        raise NotImplementedError

    def _shut(self) -> None:
        raise NotImplementedError
