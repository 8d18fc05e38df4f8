"""Composes the wall's picture on a thread of its own, so that neither keys nor the run ever wait for it.

The window asks for a picture at every frame; one that is asked for before the last has been begun takes its
place, and the one that was never made is counted as dropped.
"""

import threading
import time
from collections import deque
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from showcaller.desk.qt import QImage, QObject, Signal
from showcaller.model import Source, Wall
from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.compose.colour import relative_luminance
from showcaller.screen.footage import Footage
from showcaller.screen.picture import Picture

BUDGET_MS = 1000 / 60
LEVEL_EVERY_S = 0.5


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture that is wanted: of which wall, how large (px of the screen)."""

    wall: Wall
    picture: Picture
    width: int
    height: int
    live: bool = True
    """Time goes on, so frames count; a still is made once and never dropped."""


@dataclass(frozen=True, slots=True)
class Counters:
    """Frames in the last second, frames dropped since the start, ms of the last, mean luminance 0 to 1."""

    rate: float
    dropped: int
    last_ms: float
    level: float | None


class Projector(QObject):
    """``made`` is told after every picture, from the projector's thread to the window's."""

    made = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._lock = threading.Condition()
        self._wanted: Shot | None = None
        self._sources: tuple[tuple[Source, ...], Path | None] = ((), None)
        self._buffers: list[np.ndarray[Any, Any]] = []
        self._held: np.ndarray[Any, Any] | None = None  # what Qt draws from must not go away under it
        self._ready: int | None = None
        self._showing: int | None = None
        self._over = False
        self._busy = False
        self._times: deque[float] = deque(maxlen=240)
        self._dropped = 0
        self._last_ms = 0.0
        self._level: float | None = None
        self._why: dict[str, str] = {}
        self._thread: threading.Thread | None = None

    def take_sources(self, sources: tuple[Source, ...], folder: Path | None) -> None:
        """Show these sources from now on."""
        with self._lock:
            self._sources = (sources, folder)

    def ask(self, shot: Shot) -> None:
        """Ask for a picture; it comes when it is made, unless another is asked for first."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="projector", daemon=True)
            self._thread.start()
        with self._lock:
            if self._wanted is not None and self._wanted.live and shot.live:
                self._dropped += 1
            self._wanted = shot
            self._lock.notify()

    def newest(self) -> QImage | None:
        """The newest picture, opaque, in px of the screen; it holds until this is called again."""
        with self._lock:
            if self._ready is not None:
                self._showing, self._ready = self._ready, None
            if self._showing is None:
                return None
            buffer = self._held = self._buffers[self._showing]
        height, width = buffer.shape[:2]
        return QImage(buffer.data, width, height, width * 4, QImage.Format.Format_RGB32)

    def counters(self) -> Counters:
        """How it goes."""
        now = time.monotonic()
        with self._lock:
            recent = [t for t in self._times if now - t <= 1.0]
            return Counters(float(len(recent)), self._dropped, self._last_ms, self._level)

    def why(self, source: str) -> str:
        """Why a source shows its card."""
        return self._why.get(source, "")

    def settle(self, timeout_s: float) -> None:
        """Wait until everything asked for has been made."""
        with self._lock:
            self._lock.wait_for(lambda: self._wanted is None and not self._busy, timeout_s)

    def close(self) -> None:
        """Stop, and let go of files and cameras."""
        with self._lock:
            self._over = True
            self._lock.notify()
        if self._thread is not None:
            self._thread.join(3.0)

    def _work(self) -> None:
        cv2.setNumThreads(1)  # the other processors are the engine's and the window's
        footage = Footage(())
        canvas: Canvas | None = None
        of: tuple[Wall, int, int] | None = None
        measured_s = 0.0
        while True:
            with self._lock:
                while self._wanted is None and not self._over:
                    self._lock.wait()
                if self._over:
                    break
                shot, self._wanted, self._busy = self._wanted, None, True
                sources, folder = self._sources
                assert shot is not None
                size = (shot.height, shot.width, 4)
                if not self._buffers or self._buffers[0].shape != size:
                    # What the window still shows is kept alive by its own picture.
                    self._buffers = [np.zeros(size, np.uint8) for _ in range(3)]
                    self._ready = self._showing = None
                free = next(n for n in range(3) if n not in (self._ready, self._showing))
                buffer = self._buffers[free]
            began = time.perf_counter()
            footage.take(sources, folder)
            if canvas is None or of is None or of[0] is not shot.wall or of[1:] != (shot.width, shot.height):
                canvas, of = Canvas(shot.wall, shot.width, shot.height), (shot.wall, shot.width, shot.height)
            made = canvas.compose(shot.picture, footage.at)
            cv2.cvtColor(made, cv2.COLOR_BGR2BGRA, buffer)
            level = self._level
            if time.monotonic() - measured_s > LEVEL_EVERY_S:
                measured_s = time.monotonic()
                level = relative_luminance(made[::4, ::4])
                self._why = {s.id: footage.why(s.id) for s in sources if footage.why(s.id)}
            with self._lock:
                self._ready, self._busy = free, False
                self._lock.notify_all()
                self._times.append(time.monotonic())
                self._last_ms = (time.perf_counter() - began) * 1000
                self._level = level
            self.made.emit()
        footage.close()
