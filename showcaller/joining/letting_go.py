"""Letting go of a run that another machine has taken over: the engine here is told, and then it is gone."""

import contextlib
import os
import signal
import time
from dataclasses import dataclass
from pathlib import Path

from filelock import FileLock, Timeout

from showcaller.engine.held_back import hold_back
from showcaller.engine.launch import engine_lives
from showcaller.engine.protocol import LOCK_FILE, read_endpoint
from showcaller.joining.engine_side import EngineSide
from showcaller.joining.guests import Guest

WITHIN_S = 0.5
"""An engine that has not ended by then is ended."""
OPENS_S = 3.0
"""One that is just opening the log has ended by itself by then, or listens."""


@dataclass
class LettingGo:
    """The machine ``to`` has the run, in ``term``."""

    to: Guest
    term: int
    folder: Path
    until_s: float
    turn: int = -1
    """The connection to the engine by which it was told."""

    @classmethod
    def begin(cls, engine: EngineSide, to: Guest, term: int) -> "LettingGo":
        """Tell the engine; raises OSError when it cannot be written down that none is to start again, which
        stops nothing."""
        assert engine.folder is not None
        with contextlib.suppress(OSError):
            hold_back(engine.folder, to.name, term)
        made = cls(to, term, engine.folder, time.monotonic() + WITHIN_S)
        made.tell(engine)
        return made

    def tell(self, engine: EngineSide) -> None:
        """Tell the engine, once; one that was started just before it was written down that none is to start
        is told as well."""
        if engine.turn != self.turn:
            self.turn = engine.turn
            engine.forward({"kind": "higher_term", "term": self.term, "machine": self.to.name})

    def is_done(self) -> bool:
        """Whether no engine runs here any more; one that does not end by itself is made to."""
        now_s = time.monotonic()
        if not engine_lives(self.folder):
            return not _is_opening(self.folder) or now_s > self.until_s + OPENS_S
        endpoint = read_endpoint(self.folder)
        if now_s > self.until_s and endpoint is not None and "as" not in endpoint:
            with contextlib.suppress(OSError):
                os.kill(
                    int(endpoint["pid"]), signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM
                )
        return False


def _is_opening(folder: Path) -> bool:
    """Whether an engine has the folder that does not listen yet: it may have asked whether it may run just
    before that was forbidden."""
    try:
        with FileLock(folder / LOCK_FILE).acquire(blocking=False):
            return False
    except Timeout:
        return True
    except OSError:
        return False
