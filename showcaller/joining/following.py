"""The link's process: ``python -m showcaller.joining link FOLDER``. The folder has who was joined to
(``doors.json``) and the runs that are followed; it outlives the desk, so that the log is kept."""

import contextlib
import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from showcaller.joining.asking_in import Known
from showcaller.joining.control import Steering
from showcaller.joining.errors import JoinError
from showcaller.joining.link import RunLink
from showcaller.joining.machine import this_machine, write_private

DOORS, LOCK = "doors.json", "link.lock"


def read_doors(folder: Path) -> list[Known]:
    """The doors this machine has been let in at, the one to try first first."""
    with contextlib.suppress(OSError, ValueError, TypeError):
        return [Known(**one) for one in json.loads((folder / DOORS).read_text(encoding="utf-8"))]
    return []


def keep_doors(folder: Path, doors: list[Known]) -> None:
    """Write them down.

    Raises:
        JoinError: the disk does not take it.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_private(folder / DOORS, json.dumps([asdict(one) for one in doors], indent=1))
    except OSError as error:
        raise JoinError(f"{folder} cannot be written ({(error.strerror or str(error)).lower()})") from None


class Following:
    """A link and how it is steered."""

    def __init__(self, folder: Path) -> None:
        """Begin to follow; raises JoinError."""
        doors = read_doors(folder)
        if not doors:
            raise JoinError("this machine was let in nowhere yet; join with the code first")
        self.link = RunLink(this_machine(), folder, doors)
        self._ended = False
        try:
            self._control = Steering(self.link.context, folder, self.obey)
        except OSError as error:
            raise JoinError(f"it cannot be steered from {folder}: {error}") from None

    def run(self) -> None:
        """Until it is told to end."""
        try:
            while not self._ended:
                self.link.look()
                self._control.poll()
        finally:
            self._control.close()
            self.link.close()

    def obey(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Do what a desk or a command of this machine asks, and say how it stands."""
        match asked["do"]:
            case "status":
                pass
            case "close":
                self._ended = True
            case other:
                raise KeyError(other)
        return self.link.status()


def serve(folder: Path) -> int:
    """Follow; the exit status."""
    try:
        with FileLock(folder / LOCK).acquire(blocking=False):
            Following(folder).run()
    except Timeout:
        sys.stderr.write("this machine follows already\n")
        return 2
    except (JoinError, OSError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0
