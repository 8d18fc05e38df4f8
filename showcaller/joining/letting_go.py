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
from showcaller.engine.protocol import read_endpoint
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
    until_s: float
    number: tuple[int, int] | None = None
    turn: int = -1
    """The connection to the engine by which it was told."""
    seq: int | None = None
    """Of the last record of the engine here, once it has answered."""

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
            what = {"kind": "higher_term", "term": self.term, "machine": self.to.name}
            self.number = engine.forward(what)

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
        endpoint = read_endpoint(self.folder)
        if time.monotonic() > self.until_s and endpoint is not None and "as" not in endpoint:
            with contextlib.suppress(OSError):
                os.kill(
                    int(endpoint["pid"]), signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM
                )
        return False
