"""A real engine that kills itself, without a word, the n-th time it comes to a step between key and wire.

``python killed_engine.py STEP N FOLDER SPEED WALL0``; the last three as the engine itself has them. For N
there may be a text: then it dies at the first record that holds it.
"""

import os
import signal
import sys
from collections.abc import Callable
from typing import Any

from showcaller.engine.__main__ import main
from showcaller.engine.journal.disk import DiskFile
from showcaller.engine.journal.front import Front
from showcaller.engine.outlets.udp import UdpPort
from showcaller.engine.runner import Runner

STEPS: dict[str, tuple[type, str, str]] = {
    "before the journal": (Runner, "_keep", "before"),
    "before the front": (Front, "append", "before"),
    "journaled": (Runner, "_keep", "after"),
    "one message left": (UdpPort, "send", "after"),
    "all left": (Runner, "_publish", "before"),
    "published": (Runner, "_publish", "after"),
    "before the disk": (DiskFile, "append", "before"),
    "on the disk": (DiskFile, "append", "after"),
    "synced": (DiskFile, "sync", "after"),
    "first made": (DiskFile, "create", "before"),
    "first line": (DiskFile, "append", "before"),
    "front begun": (Front, "__init__", "before"),
    "recovered": (Runner, "replay", "after"),
}


def arm(step: str, at: str) -> None:
    """Make the engine die at the pass of ``step`` that is meant."""
    cls, name, when = STEPS[step]
    text, n = (b"", int(at)) if at.isdigit() else (at.encode(), 1)
    if (cls, name) == (Runner, "_publish"):
        _arm_publish(when, n)
        return
    real: Callable[..., Any] = getattr(cls, name)
    passes = 0

    def dying(self: Any, *args: Any, **kwargs: Any) -> Any:
        nonlocal passes
        passes += not text or (bool(args) and text in args[0])
        if when == "before" and passes == n:
            _die()
        result = real(self, *args, **kwargs)
        if when == "after" and passes == n:
            _die()
        return result

    setattr(cls, name, dying)


def _arm_publish(when: str, n: int) -> None:
    """A runner is given what publishes; wrap it as it is handed in."""
    real = Runner.__init__
    passes = 0

    def init(self: Any, compiled: Any, clock: Any, journal: Any, publish: Any, wake: Any) -> None:
        def dying(body: bytes) -> None:
            nonlocal passes
            passes += 1
            if when == "before" and passes == n:
                _die()
            publish(body)
            if when == "after" and passes == n:
                _die()

        real(self, compiled, clock, journal, dying, wake)

    Runner.__init__ = init  # type: ignore[method-assign]


def _die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


if __name__ == "__main__":
    arm(sys.argv[1], sys.argv[2])
    sys.argv = sys.argv[:1] + sys.argv[3:]
    sys.exit(main())
