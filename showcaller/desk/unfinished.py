"""Runs that were not ended: looked for now and then, and said. No Qt."""

import time
from pathlib import Path

from showcaller.desk.journals import unfinished_runs
from showcaller.desk.keys import Keys
from showcaller.desk.told import Prompted
from showcaller.engine.launch import engine_lives

LOOK_EVERY_S = 2.0


class Unfinished:
    """Looks into the folder of runs."""

    def __init__(self, runs: Path) -> None:
        self._runs = runs
        self._looked_s = -1e9
        self._going = ""

    def latest(self) -> Path | None:
        """The latest run folder that was not ended."""
        found = unfinished_runs(self._runs)
        return found[-1] if found else None

    def words(self, keys: Keys) -> Prompted | None:
        """What to say of it; looked for every two seconds."""
        if time.monotonic() - self._looked_s > LOOK_EVERY_S:
            self._looked_s = time.monotonic()
            folder = self.latest()
            going = "" if folder is None else "in progress" if engine_lives(folder) else "was not ended"
            self._going = going
        if not self._going:
            return None
        # In the box itself: nothing else is to be done before.
        return Prompted(f"show {self._going}", f"{keys['open']} rejoins", "caution", instead=True)
