"""Letting go of a run that another machine has taken over: the engine here is told, and then it is gone."""

import contextlib
import os
import signal
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from showcaller.engine.held_back import hold_back
from showcaller.engine.launch import engine_lives
from showcaller.joining.engine_side import EngineSide
from showcaller.joining.guests import Guest

WITHIN_S = 0.5
"""An engine that has not ended by then is ended."""


@dataclass
class LettingGo:
    """The machine ``to`` has the run, in ``term``."""

    to: Guest
    term: int
    folder: Path
    pid: int
    until_s: float
    number: tuple[int, int] | None
    seq: int | None = None
    """Of the last record of the engine here, once it has answered."""

    @classmethod
    def begin(cls, engine: EngineSide, to: Guest, term: int) -> "LettingGo":
        """Tell the engine; raises OSError when it cannot be written down that none is to start again, which
        stops nothing."""
        assert engine.folder is not None
        pid = int((engine.hello or {}).get("pid", 0))
        number = engine.forward({"kind": "higher_term", "term": term, "machine": to.name})
        made = cls(to, term, engine.folder, pid, time.monotonic() + WITHIN_S, number)
        with contextlib.suppress(OSError):
            hold_back(engine.folder, to.name, term)
        return made

    def hear(self, number: tuple[int, int], answer: dict[str, Any]) -> None:
        """The engine has answered something: it may be this."""
        if number == self.number:
            self.seq = int(answer.get("seq", 0))

    def has_all(self, records: int) -> bool:
        """Whether all that the engine here has done is among so many records."""
        return self.seq is not None and records >= self.seq

    def is_done(self) -> bool:
        """Whether no engine runs here any more; one that does not end by itself is made to."""
        if not engine_lives(self.folder):
            return True
        if time.monotonic() > self.until_s and self.pid > 1:
            with contextlib.suppress(OSError):
                os.kill(self.pid, signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
        return False
