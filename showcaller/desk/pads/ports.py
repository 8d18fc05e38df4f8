"""The MIDI ports of controllers: opened by name, and again when they are back, on a thread nobody waits for.

What comes in waits in the library's own queue until this thread takes it, and in ours until the window does
at its next frame; what goes out is queued. No call-back: it would have the MIDI system's thread wait for
Python's lock, and JACK drops the messages of a client that is late. A port that hangs holds up this thread
alone; the engine knows nothing of it.
"""

import queue
import re
import threading
import time
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from typing import Any

from showcaller.engine.outlets.midi import rtmidi_module

POLL_S = 0.005
"""How often it is looked what has come, while a controller is open."""

LOOK_S = 0.3
"""How often it is looked which ports there are."""

MISSING_S = 10.0
"""A MIDI system that does not run here is asked again after so long."""

OURS = "showcaller"
LATE_S = 0.5
"""A touch that waited longer for a frame was meant for another moment."""

MOST_WAITING = 4096
"""Messages that wait for a frame; of a flood the newest are kept."""

ALIKE = 0.75
"""An output whose name is less like an input's than this (1: the same) is not of the same controller."""

_NUMBERS = re.compile(r"\s+\d+:\d+$")


def controller_name(port: str) -> str:
    """A port's name without the numbers that are others whenever it is plugged in."""
    return _NUMBERS.sub("", port).strip()


def answering(name: str, outputs: list[str]) -> str | None:
    """The output that belongs to an input: of the same name, or the one whose name is most like it, since
    some systems add which way a port goes. None where that is doubtful: lights never go to another device."""
    same = [port for port in outputs if controller_name(port) == name]
    if same:
        return same[0]
    ranked = sorted(
        ((SequenceMatcher(None, name, controller_name(port)).ratio(), port) for port in outputs), reverse=True
    )
    if not ranked or ranked[0][0] < ALIKE:
        return None
    return ranked[0][1] if len(ranked) < 2 or ranked[0][0] > ranked[1][0] else None


@dataclass(slots=True)
class _Open:
    port_in: Any
    port_out: Any = None


@dataclass(slots=True)
class _Shared:
    """What the window and the thread both know; replaced whole, never changed in place."""

    wanted: frozenset[str] = frozenset()
    all: bool = False
    heard: deque[tuple[str, bytes, float]] = field(default_factory=lambda: deque(maxlen=MOST_WAITING))
    opened: dict[str, int] = field(default_factory=dict)
    trouble: str = ""


class ControllerPorts:
    """``want`` says which to keep open; ``opened`` counts for each how often it has been (0: it is not)."""

    def __init__(self) -> None:
        self._shared = _Shared()
        self._out: queue.SimpleQueue[tuple[str, bytes] | None] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._open: dict[str, _Open] = {}
        self._times: dict[str, int] = {}
        self._missing_s: dict[int, float] = {}
        self._over = False

    def want(self, names: frozenset[str], everything: bool = False) -> None:
        """Keep these controllers open; ``everything``: whatever is there, to learn from it."""
        self._shared.wanted, self._shared.all = names, everything
        if self._thread is None and (names or everything) and not self._over:
            self._thread = threading.Thread(target=self._run, name="controllers", daemon=True)
            self._thread.start()

    def heard(self) -> Iterator[tuple[str, bytes, float]]:
        """Take what has come: (controller, message, when on the monotonic clock)."""
        for _ in range(len(self._shared.heard)):
            yield self._shared.heard.popleft()

    def opened(self, name: str) -> int:
        """The how-manyeth time a controller is open now; 0 if it is not."""
        return self._shared.opened.get(name, 0)

    @property
    def trouble(self) -> str:
        """Why there is no MIDI at all; empty if there is."""
        return self._shared.trouble

    def send(self, name: str, message: bytes) -> None:
        """Queue a message for a controller; it is dropped if that is gone."""
        self._out.put((name, message))

    def close(self) -> None:
        """Let go of all ports."""
        self._over = True
        if self._thread is not None:
            self._out.put(None)
            self._thread.join(3.0)

    # On the thread

    def _run(self) -> None:
        try:
            rtmidi = rtmidi_module()
        except OSError as error:
            self._shared.trouble = str(error)
            return
        lookers: dict[int, tuple[Any, Any]] = {}
        looked_s = -1e9
        while not self._over:
            if time.monotonic() - looked_s >= LOOK_S:
                self._look(rtmidi, lookers)
                looked_s = time.monotonic()
            try:
                given = self._out.get(timeout=POLL_S if self._open else LOOK_S)
                while given is not None:
                    self._write(*given)
                    given = self._out.get_nowait()
                break
            except queue.Empty:
                self._take()
        for name in list(self._open):
            self._shut(name)
        for pair in lookers.values():
            for port in pair:
                port.delete()

    def _look(self, rtmidi: Any, lookers: dict[int, tuple[Any, Any]]) -> None:
        """Open what is wanted and there, let go of what is gone or wanted no more."""
        inputs: dict[str, tuple[int, int]] = {}
        outputs: dict[int, list[str]] = {}
        for api in rtmidi.get_compiled_api():
            for name, place, outs in self._names(rtmidi, lookers, api):
                inputs.setdefault(name, (api, place))
                outputs[api] = outs
        shared = self._shared
        keep = set(inputs) if shared.all else set(inputs) & shared.wanted
        for name in set(self._open) - keep:
            self._shut(name)
        for name in keep - set(self._open):
            api, place = inputs[name]
            self._start(rtmidi, name, api, place, outputs[api])
        shared.opened = {name: self._times[name] for name in self._open}

    def _names(
        self, rtmidi: Any, lookers: dict[int, tuple[Any, Any]], api: int
    ) -> list[tuple[str, int, list[str]]]:
        if time.monotonic() - self._missing_s.get(api, -1e9) < MISSING_S:
            return []
        try:
            if api not in lookers:
                lookers[api] = rtmidi.MidiIn(api, name=OURS), rtmidi.MidiOut(api, name=OURS)
            ins, outs = lookers[api]
            outputs = list(outs.get_ports())
            return [
                (controller_name(port), place, outputs)
                for place, port in enumerate(ins.get_ports())
                if not port.startswith(OURS)
            ]
        except Exception:  # rtmidi raises its own errors where a system is not running, or stops
            self._missing_s[api] = time.monotonic()
            for port in lookers.pop(api, ()):
                port.delete()
            return []

    def _start(self, rtmidi: Any, name: str, api: int, place: int, outputs: list[str]) -> None:
        made = _Open(None)
        try:
            made.port_in = rtmidi.MidiIn(api, name=OURS)
            made.port_in.open_port(place, "pads in")
            back = answering(name, outputs)
            if back is not None:
                made.port_out = rtmidi.MidiOut(api, name=OURS)
                made.port_out.open_port(outputs.index(back), "lights out")
        except Exception:  # as above; another program may have it for itself
            _delete(made)
            return
        self._times[name] = self._times.get(name, 0) + 1
        self._open[name] = made

    def _take(self) -> None:
        """What has come since the last time."""
        for name, found in list(self._open.items()):
            try:
                while (message := found.port_in.get_message()) is not None:
                    self._shared.heard.append((name, bytes(message[0]), time.monotonic()))
            except Exception:  # as above; it is looked at again in a moment
                self._shut(name)

    def _write(self, name: str, message: bytes) -> None:
        found = self._open.get(name)
        if found is not None and found.port_out is not None:
            try:
                found.port_out.send_message(list(message))
            except Exception:  # as above; it is looked at again in a moment
                self._shut(name)

    def _shut(self, name: str) -> None:
        _delete(self._open.pop(name))


def _delete(found: _Open) -> None:
    for port in (found.port_in, found.port_out):
        if port is not None:
            try:
                port.close_port()
                port.delete()
            except Exception:
                pass
