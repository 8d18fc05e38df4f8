"""Has the wall's picture composed by a process of its own, so that neither keys nor a run ever wait for it.

The window asks for a picture at every frame. One is in the making at a time; one that is asked for meanwhile
waits, and one that another takes the place of was never made and is counted as dropped.
"""

import contextlib
import subprocess
import sys
import tempfile
import threading
import time
from collections import deque
from pathlib import Path
from typing import Any

import numpy as np

from showcaller.desk.qt import QImage, QObject, Signal
from showcaller.model import Source, Wall
from showcaller.screen.picture import Picture
from showcaller.screen.projecting import SLOTS, receive, send, shared
from showcaller.screen.tiles import TileSheet
from showcaller.values import Struct

AGAIN_S = 2.0
"""A composing process that died is started again, but not more often than this."""


class Shot(Struct, frozen=True):
    """A picture, or a sheet of small ones, that is wanted: of which wall, how large (px of the screen)."""

    wall: Wall
    picture: Picture | TileSheet
    width: int
    height: int
    live: bool = True
    """Time goes on, so frames count; a still is made once and never dropped."""
    mark: Any = None
    """What it is of, for who asks; see ``Projector.shows``."""
    surfaces: tuple[Wall, ...] = ()
    """Where ``wall`` is all surfaces together: each of them, for test pictures."""


class Counters(Struct, frozen=True):
    """Frames in the last second, frames dropped since it plays, ms of the last, mean luminance 0 to 1."""

    rate: float
    dropped: int
    last_ms: float
    level: float | None


class Projector(QObject):
    """``made`` is told after every picture."""

    made = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._lock = threading.Condition()
        self._process: subprocess.Popen[bytes] | None = None
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._listener: threading.Thread | None = None
        self._started_s = -1e9
        self._wanted: Shot | None = None
        self._making = False
        self._wall: Wall | None = None
        self._sources: tuple[tuple[Source, ...], Path | None] = ((), None)
        self._told: Any = None
        self._slots: np.ndarray[Any, Any] | None = None
        self._held: np.ndarray[Any, Any] | None = None  # what Qt draws from must not go away under it
        self._ready: int | None = None
        self._showing: int | None = None
        self._files = 0
        self._over = self._lost = False
        self._times: deque[float] = deque(maxlen=240)
        self._dropped = 0
        self._last_ms = 0.0
        self._level: float | None = None
        self._why: dict[str, str] = {}
        self.shows: Any = None
        """The ``mark`` of the newest picture that was made; None before the first."""
        self._making_mark: Any = None

    def take_sources(self, sources: tuple[Source, ...], folder: Path | None) -> None:
        """Show these sources from now on."""
        with self._lock:
            self._sources = (sources, folder)

    def ask(self, shot: Shot) -> None:
        """Ask for a picture; it comes when it is made, unless another is asked for first."""
        with self._lock:
            begun = bool(self._times)  # while the process starts nothing is made, and nothing dropped
            if begun and self._wanted is not None and self._wanted.live and shot.live:
                self._dropped += 1
            self._wanted = shot
            self._go_on()

    def count_anew(self) -> None:
        """Frames and drops are counted from now on."""
        with self._lock:
            self._dropped = 0
            self._times.clear()

    def newest(self) -> QImage | None:
        """The newest picture, opaque, in px of the screen; it holds until this is called again."""
        with self._lock:
            if self._ready is not None:
                self._showing, self._ready = self._ready, None
            if self._showing is None or self._slots is None:
                return None
            buffer = self._held = self._slots[self._showing]
        height, width = buffer.shape[:2]
        return QImage(buffer.data, width, height, width * 4, QImage.Format.Format_RGB32)

    def counters(self) -> Counters:
        """How it goes."""
        now = time.monotonic()
        with self._lock:
            recent = sum(now - t <= 1.0 for t in self._times)
            return Counters(float(recent), self._dropped, self._last_ms, self._level)

    @property
    def lost(self) -> bool:
        """The composing process died and is not back yet: what was asked for was never made; ask again."""
        return self._lost

    @property
    def troubles(self) -> dict[str, str]:
        """What is wrong with sources' files, or why they show their cards, by the sources' ids."""
        return self._why

    def why(self, source: str) -> str:
        """Why a source shows its card."""
        return self._why.get(source, "")

    def settle(self, timeout_s: float) -> None:
        """Wait until everything asked for has been made."""
        with self._lock:
            self._lock.wait_for(lambda: self._wanted is None and not self._making, timeout_s)

    def close(self) -> None:
        """Stop the process; files and cameras go with it."""
        with self._lock:
            self._over, process = True, self._process
        if process is not None:
            process.kill()
        if self._listener is not None:
            self._listener.join(5.0)
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None

    def _go_on(self) -> None:
        """Have what is wanted made, if nothing is in the making. The lock is held."""
        if self._making or self._wanted is None or self._over:
            return
        if self._process is None:
            if time.monotonic() - self._started_s < AGAIN_S:
                return
            self._start()
        shot, self._wanted, self._making = self._wanted, None, True
        self._making_mark = shot.mark
        assert self._process is not None
        assert self._process.stdin is not None
        pipe: Any = self._process.stdin
        try:
            if shot.wall is not self._wall:
                send(pipe, ("wall", shot.wall, shot.surfaces or (shot.wall,)))
                self._wall = shot.wall
            if self._sources is not self._told:
                send(pipe, ("sources", *self._sources))
                self._told = self._sources
            size = (SLOTS, shot.height, shot.width, 4)
            if self._slots is None or self._slots.shape != size:
                path = self._memory(shot.width, shot.height)
                send(pipe, ("memory", path, shot.width, shot.height))
            free = next(n for n in range(SLOTS) if n not in (self._ready, self._showing))
            send(pipe, ("shot", shot.picture, free))
        except (BrokenPipeError, OSError, ValueError):
            self._making = False  # its death is told by its answers' ending

    def _memory(self, width: int, height: int) -> Path:
        """Memory for pictures of another size; what is shown is held until the window shows another."""
        assert self._folder is not None
        self._files += 1
        path = Path(self._folder.name) / f"pictures-{self._files}"
        self._slots = shared(path, width, height, make=True)
        self._ready = self._showing = None
        for old in path.parent.glob("pictures-*"):
            if old != path:
                old.unlink(missing_ok=True)
        return path

    def _start(self) -> None:
        self._started_s = time.monotonic()
        if self._folder is None:
            quick = "/dev/shm" if Path("/dev/shm").is_dir() else None
            self._folder = tempfile.TemporaryDirectory(
                "-wall", "showcaller-", quick, ignore_cleanup_errors=True
            )
        words = [sys.executable, "-m", "showcaller.screen.projecting"]
        self._process = subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self._wall = self._told = self._slots = None
        self._lost = False
        self._listener = threading.Thread(
            target=self._hear, args=(self._process,), name="projector", daemon=True
        )
        self._listener.start()

    def _hear(self, process: "subprocess.Popen[bytes]") -> None:
        """Take answers in until they end; then the process is gone, and is started again when asked."""
        pipe: Any = process.stdout
        while True:
            try:
                answer = receive(pipe)
            except (OSError, ValueError, EOFError):
                answer = None
            if answer is None:
                _bury(process)
            with self._lock:
                if answer is None:
                    self._making, self._lost = False, True
                    if self._process is process:
                        self._process = None
                    self._lock.notify_all()
                    return
                self._ready, self._making = answer["slot"], False
                self.shows = self._making_mark
                self._times.append(time.monotonic())
                self._last_ms = answer["ms"]
                self._level = answer.get("level", self._level)
                self._why = answer.get("why", self._why)
                self._go_on()
                self._lock.notify_all()
                over = self._over
            if not over:
                self.made.emit()


def _bury(process: "subprocess.Popen[bytes]") -> None:
    """End a process whose answers have ended."""
    process.kill()
    process.wait()
    for pipe in (process.stdin, process.stdout):
        with contextlib.suppress(OSError):
            if pipe is not None:
                pipe.close()
