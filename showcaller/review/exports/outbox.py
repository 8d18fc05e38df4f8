"""Reports on their way to a folder that may not be there: each waits on this machine until it is put there.

A folder an entry: ``to.json`` says where the file beside it is wanted. What is there is never replaced.
"""

import contextlib
import json
import secrets
import shutil
import time
from collections.abc import Iterator
from pathlib import Path

from filelock import FileLock, Timeout

from showcaller.model.whole import whole
from showcaller.values import Struct

_TO = "to.json"


class Waiting(Struct, frozen=True):
    """A report that waits: where it lies, where it is wanted, since when (Unix s)."""

    file: Path
    to: Path
    since_s: float


class Outbox:
    """The reports that wait on this machine, in ``folder``."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def room(self, to: Path) -> Path:
        """Where to write a report that is wanted at ``to``; it waits from when it is there.

        Raises:
            OSError: this machine takes nothing either.
        """
        entry = self.folder / f"{time.time_ns()}-{secrets.token_hex(4)}"
        entry.mkdir(parents=True, mode=0o700)
        (entry / _TO).write_text(json.dumps({"to": str(to), "since_s": time.time()}), encoding="utf-8")
        return entry / to.name

    def waiting(self) -> tuple[Waiting, ...]:
        """What waits, the oldest first; an entry that cannot be read is passed over."""
        return tuple(self._entries())

    def deliver(self) -> tuple[Path, ...]:
        """Put where it is wanted whatever can be now; where it lies there. Another desk may be at it: then
        nothing is done."""
        if not self.folder.is_dir():
            return ()
        done: list[Path] = []
        with contextlib.suppress(Timeout), FileLock(self.folder / ".lock", timeout=0):
            self._sweep()
            for one in self._entries():
                with contextlib.suppress(OSError):  # not there, or full: it goes on waiting
                    done.append(_put(one.file, one.to))
                    shutil.rmtree(one.file.parent)
        return tuple(done)

    def drop(self, file: Path) -> None:
        """What was to be written there will not be."""
        shutil.rmtree(file.parent, ignore_errors=True)

    def forget(self) -> int:
        """Give up on everything that waits; how many."""
        waiting = self.waiting()
        for one in waiting:
            shutil.rmtree(one.file.parent, ignore_errors=True)
        return len(waiting)

    def _sweep(self) -> None:
        """Away with what was begun an hour ago and never written."""
        for entry in self.folder.glob("*-*"):
            with contextlib.suppress(OSError):
                if len(list(entry.iterdir())) < 2 and time.time() - entry.stat().st_mtime > 3600:
                    shutil.rmtree(entry)

    def _entries(self) -> Iterator[Waiting]:
        for entry in sorted(self.folder.glob("*-*")):
            try:
                said = json.loads((entry / _TO).read_text(encoding="utf-8"))
                found = Waiting(entry / Path(said["to"]).name, Path(said["to"]), float(said["since_s"]))
            except (OSError, ValueError, KeyError, TypeError):
                continue
            if found.file.exists():
                yield found


def _put(file: Path, to: Path) -> Path:
    """The file (or folder) in its place, whole; beside what is there already if that is another one."""
    if not to.parent.is_dir():
        raise FileNotFoundError(2, "is not there now", str(to.parent))
    place, n = to, 1
    while place.exists():
        n += 1
        place = to.with_name(f"{to.stem} ({n}){to.suffix}")
    if file.is_dir():
        half = place.with_name(f".{place.name}.part")
        shutil.rmtree(half, ignore_errors=True)
        shutil.copytree(file, half)
        half.rename(place)
    else:
        whole(place, lambda half: shutil.copyfile(file, half))
    return place
