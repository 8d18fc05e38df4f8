"""The process that composes: pictures asked for over its input are made in memory it shares with the desk.

``python -m showcaller.screen.projecting``. A process of its own: a desk that composed in a thread would share
Python's lock with it, and a go would wait for it; and a broken clip takes nothing else down.
Requests and answers are pickled values, each behind its length (4 bytes, little-endian).
"""

import contextlib
import mmap
import os
import pickle
import struct
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, BinaryIO

import cv2
import numpy as np
from platformdirs import user_config_path

from showcaller.model import Wall
from showcaller.outside.media import allowed_folders
from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.compose.colour import relative_luminance
from showcaller.screen.footage import Footage
from showcaller.screen.tiles import TileSheet, compose_sheet

SLOTS = 3
"""Pictures kept side by side: one shown, one just made, one being made."""

LEVEL_EVERY_S = 0.5
CHECK_EVERY_S = 10.0
"""How often all files are looked at, seen or not."""
_HEAD = struct.Struct("<I")


def send(pipe: BinaryIO, value: Any) -> None:
    """Write one value."""
    body = pickle.dumps(value, protocol=pickle.HIGHEST_PROTOCOL)
    pipe.write(_HEAD.pack(len(body)) + body)
    pipe.flush()


def receive(pipe: BinaryIO) -> Any:
    """Read one value; None at the end."""
    head = pipe.read(_HEAD.size)
    if len(head) < _HEAD.size:
        return None
    body = pipe.read(_HEAD.unpack(head)[0])
    return pickle.loads(body)  # from the process that started this one, or the one it started


def shared(path: Path, width: int, height: int, make: bool) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """The slots in a file mapped into memory: SLOTS × height × width × 4 (blue, green, red, unused)."""
    size = SLOTS * height * width * 4
    with path.open("w+b" if make else "r+b") as file:
        if make:
            file.truncate(size)
        memory = mmap.mmap(file.fileno(), size)
    return np.frombuffer(memory, np.uint8).reshape(SLOTS, height, width, 4)


class Projecting:
    """Takes requests: ``wall``, ``sources``, ``memory``, and ``shot``, which alone is answered."""

    def __init__(self, answer: Callable[[Any], None]) -> None:
        self._answer = answer
        self._wall: Wall | None = None
        self._footage = Footage((), allowed=allowed_folders(user_config_path("showcaller")))
        self._canvas: Canvas | None = None
        self._slots: np.ndarray[Any, np.dtype[np.uint8]] | None = None
        self._level: float | None = None
        self._measured_s = 0.0
        self._names: tuple[str, ...] = ()
        self._wrong: dict[str, str] = {}
        self._checked_s = -1e9

    def take(self, request: Any) -> None:
        """One request."""
        match request:
            case ("wall", wall, surfaces):
                self._wall, self._canvas = wall, None
                self._footage.take_walls(surfaces)
            case ("sources", sources, folder):
                self._footage.take(sources, folder)
                self._names = tuple(s.id for s in sources)
                self._checked_s = -1e9
            case ("memory", path, width, height):
                self._slots, self._canvas = shared(path, width, height, make=False), None
            case ("shot", picture, slot):
                self._answer(self._shot(picture, slot))

    def _shot(self, picture: Any, slot: int) -> dict[str, Any]:
        began = time.perf_counter()
        assert self._wall is not None
        assert self._slots is not None
        _, height, width, _ = self._slots.shape
        if isinstance(picture, TileSheet):
            width, height = width // picture.columns, height // picture.rows
        if self._canvas is None or (self._canvas.width, self._canvas.height) != (width, height):
            self._canvas = Canvas(self._wall, width, height)
        if isinstance(picture, TileSheet):
            compose_sheet(picture, self._canvas, self._footage.at, self._slots[slot])
            return {"slot": slot, "ms": (time.perf_counter() - began) * 1000}
        made = self._canvas.compose(picture, self._footage.at)
        cv2.cvtColor(made, cv2.COLOR_BGR2BGRA, self._slots[slot])
        answer: dict[str, Any] = {"slot": slot}
        if time.monotonic() - self._measured_s > LEVEL_EVERY_S:
            self._measured_s = time.monotonic()
            first = self._canvas.part(made, next(iter(picture.areas), None))
            answer["level"] = relative_luminance(first[::4, ::4])
            answer["why"] = self._troubles()
        return {**answer, "ms": (time.perf_counter() - began) * 1000}

    def _troubles(self) -> dict[str, str]:
        if time.monotonic() - self._checked_s > CHECK_EVERY_S:
            self._checked_s = time.monotonic()
            self._wrong = self._footage.troubles()
        seen = {n: self._footage.why(n) for n in self._names if self._footage.why(n)}
        return {**self._wrong, **seen}

    def close(self) -> None:
        """Let go of files and cameras."""
        self._footage.close()


def _step_back() -> None:
    """Give way to everything else: a picture may be late, a go may not."""
    if hasattr(os, "nice"):
        os.nice(10)
    if hasattr(os, "SCHED_BATCH"):  # does not push aside, on waking, what is running
        with contextlib.suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_BATCH, os.sched_param(0))


def main() -> None:
    """Serve until the input ends, which it does when the desk is gone."""
    cv2.setNumThreads(1)  # the other processors are the engine's and the window's
    _step_back()
    answers, requests = sys.stdout.buffer, sys.stdin.buffer
    sys.stdout = sys.stderr  # nothing that a library prints may get between the answers
    projecting = Projecting(lambda value: send(answers, value))
    try:
        while (request := receive(requests)) is not None:
            projecting.take(request)
    except (BrokenPipeError, KeyboardInterrupt):
        pass
    finally:
        projecting.close()


if __name__ == "__main__":
    main()
