"""The link's process: ``python -m showcaller.joining link FOLDER``. The folder has who was joined to
(``doors.json``) and the runs that are followed; it outlives the desk, so that the log is kept."""

import contextlib
import sys
import threading
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from showcaller.joining.book_line import BookLine
from showcaller.joining.control import Steering, ask, of_door, of_link
from showcaller.joining.doors import read_doors
from showcaller.joining.errors import JoinError
from showcaller.joining.machine import this_machine
from showcaller.joining.second import SecondMachine
from showcaller.joining.spawning import LINK_LOCK
from showcaller.joining.starting import start_door

DOOR_S = 1.0


class Following:
    """A link and how it is steered."""

    def __init__(self, folder: Path) -> None:
        """Begin to follow; raises JoinError."""
        doors = read_doors(folder)
        if not doors:
            raise JoinError("this machine was let in nowhere yet; join with the code first")
        self.link = SecondMachine(this_machine(), folder, doors)
        self.book = BookLine(self.link.far.ask)
        self._folder = folder
        self._ended = threading.Event()
        try:
            self._control = Steering(self.link.context, of_link(folder), self.obey)
        except OSError as error:
            raise JoinError(f"it cannot be steered from {folder}: {error}") from None

    def run(self) -> None:
        """Until it is told to end."""
        threading.Thread(target=self._keep_door, name="own door", daemon=True).start()
        try:
            while not self._ended.is_set() and not self.link.done:
                self.link.look()
                self._control.poll()
        finally:
            self._ended.set()
            self._control.close()
            self.link.close()

    def _keep_door(self) -> None:
        """While this machine can take over, its own door is open: whoever is let in there finds it here."""
        while not self._ended.wait(DOOR_S):
            if not self.link.can_take_over:
                continue
            with contextlib.suppress(JoinError):
                start_door(self._folder)
                if self.link.guests_changed or not self.link.own_port:
                    self.link.guests_changed = False
                    status = ask(of_door(self._folder), {"do": "read guests"})
                    self.link.own_port = int(status["port"])

    def obey(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Do what a desk or a command of this machine asks, and say how it stands."""
        match asked["do"]:
            case "status":
                pass
            case "book":
                return self.book.exchange(asked, self.link.far.is_heard)
            case "take over":
                self.link.take_over(str(asked.get("by", ""))[:40])
            case "close":
                with contextlib.suppress(JoinError):  # this machine's own door is not to start it again
                    ask(of_door(self._folder), {"do": "leave"}, 0.5)
                self._ended.set()
            case other:
                raise KeyError(other)
        return self.link.status()


def serve(folder: Path) -> int:
    """Follow; the exit status."""
    try:
        with FileLock(folder / LINK_LOCK).acquire(blocking=False):
            Following(folder).run()
    except Timeout:
        sys.stderr.write("this machine follows already\n")
        return 2
    except (JoinError, OSError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0
