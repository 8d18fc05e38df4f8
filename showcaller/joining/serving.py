"""The door's process: ``python -m showcaller.joining door RUNS PORT BIND``. It outlives the desk that started
it, as the engine does, and ends when it is told to, or when no show has been open for a long time."""

import contextlib
import os
import sys
import time
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from showcaller.engine.held_back import held_back, hold_back, may_run
from showcaller.engine.launch import engine_lives, open_runs
from showcaller.joining.asking_in import Known
from showcaller.joining.control import Steering, of_door
from showcaller.joining.door import MachineDoor
from showcaller.joining.doors import read_doors
from showcaller.joining.errors import JoinError
from showcaller.joining.finding import Announcement
from showcaller.joining.machine import this_machine
from showcaller.joining.own_address import own_address
from showcaller.joining.spawning import DOOR_LOCK, LINK_LOCK, follow
from showcaller.run.rights import SEATS

PULLED_S = 60.0
LINK_S = 2.0
IDLE_S = 12 * 3600.0
"""Without a run, the door closes by itself after so long."""
_FILES = 4096


class Serving:
    """A door and how it is steered."""

    def __init__(self, runs: Path, port: int, bind: str, announced: bool = True) -> None:
        """Open it; raises JoinError."""
        self.door = MachineDoor(runs, this_machine(), bind, port)
        self._ended = False
        self._runs = runs
        self._followed: Known | None = None
        self._left: Known | None = None
        self._link_s = -1e9
        self._run_s = time.monotonic()
        address = own_address() if bind in ("", "0.0.0.0") else bind
        self.address = f"{address}:{self.door.port}"
        try:
            self._control = Steering(
                self.door.context, of_door(runs), self.obey, port=self.door.port, bind=bind
            )
        except OSError as error:
            raise JoinError(f"the door cannot be steered from {runs}: {error}") from None
        machine = this_machine()
        self._announced = (
            Announcement(machine.id, machine.name, address, self.door.port) if announced else None
        )

    def run(self) -> None:
        """Until it is told to end."""
        doors = read_doors(self._runs)
        if doors and any(held_back(folder, time.time()) for folder in open_runs(self._runs)):
            self._follow(doors[0])  # it was followed when this machine was switched off
        try:
            while not self._ended:
                self.door.look((self._control.sock,))
                self._control.poll()
                self._follow(self.door.terms.moved)
                if self.door.engine.is_here:
                    self._run_s = time.monotonic()
                elif time.monotonic() - self._run_s > IDLE_S:
                    return
        finally:
            if self._announced is not None:
                self._announced.close()
            self._control.close()
            self.door.close()

    def _follow(self, moved: Known | None) -> None:
        """Once another machine has the run, this one follows it: its link is started if there is none, and
        again if it has gone: one that has just ended may still have been there a moment ago."""
        now_s = time.monotonic()
        due = moved != self._followed or now_s - self._link_s > LINK_S
        left = moved is not None and self._left is not None and moved.key == self._left.key
        due = due and not left and not self.door.terms.takes_over(now_s)
        if moved is not None and moved.door and due:
            self._link_s = now_s
            with contextlib.suppress(Timeout):
                with FileLock(self._runs / LINK_LOCK).acquire(blocking=False):
                    pass
                follow(self._runs, moved)
        self._followed = moved

    def obey(self, asked: dict[str, Any]) -> dict[str, Any]:
        """Do what a desk or a command of this machine asks, and say how it stands."""
        match asked["do"]:
            case "status":
                pass
            case "book":
                return self.door.book.home(asked, time.monotonic())
            case "find engine":
                self.door.engine.look_again()
                if asked.get("began", True):
                    self.door.terms.has_begun()
                else:
                    self.door.terms.announce("", 0, 0.0)
            case "leave":
                self._left = self.door.terms.moved
            case "announce":
                self.door.terms.announce(str(asked["run"]), int(asked["term"]), time.monotonic())
            case "code":
                self.door.bell.show(_seat(asked["seat"]))
            case "hide code":
                self.door.bell.hide()
            case "withdraw":
                if not self.door.withdraw(str(asked["id"])):
                    raise JoinError(f"no machine '{str(asked['id'])[:20]}' is let in here")
            case "read guests":
                self.door.read_guests()
            case "pull plug":
                self._pull_plug()
            case "close":
                self._ended = True
            case other:
                raise KeyError(other)
        return self.status()

    def _pull_plug(self) -> None:
        """As if this machine's plug were pulled: engine and door are gone for a minute. The engine refuses it
        but in a rehearsal."""
        folder = self.door.engine.folder
        if folder is None or self.door.engine.forward({"kind": "pull_plug"}) is None:
            raise JoinError("no rehearsal is open here, so there is no plug to pull")
        hold_back(folder, "", 0, time.time() + PULLED_S)
        until_s = time.monotonic() + 1.0
        while engine_lives(folder):
            if time.monotonic() > until_s:
                may_run(folder)
                raise JoinError("the plug is pulled in a rehearsal alone: mute all outputs first")
            time.sleep(0.01)
        self.door.unplug(PULLED_S)

    def status(self) -> dict[str, Any]:
        """How it stands."""
        door, now_s = self.door, time.monotonic()
        code = door.bell.code
        seq = len(door.engine.log)
        guests = []
        for guest in door.guests.by_key.values():
            line = door.lines.state_of(guest.key)
            one = {"id": guest.id, "name": guest.name, "seat": guest.seat, "here": line is not None}
            guests.append({**one, "behind": None if line is None else max(0, seq - line.has)})
        good = code is not None and code.is_good(now_s)
        return {
            "address": self.address,
            "announced": self._announced is not None and self._announced.works,
            "code": {"digits": code.digits, "seat": code.seat, "left_s": round(code.until_s - now_s)}
            if code is not None and good
            else None,
            "guests": guests,
            "port": door.port,
            "run": (door.engine.hello or {}).get("run", ""),
            "term": door.terms.own,
            "moved": None if door.terms.moved is None else door.terms.moved.name,
            "refused": door.keys.refused,
            "hears_others": door.terms.hears_others(door.guests, now_s),
            "others_told": door.terms.have_told(door.guests, now_s),
            "trouble": door.trouble,
        }


def _seat(asked: Any) -> str:
    if asked not in SEATS:
        raise JoinError(f"no seat '{str(asked)[:20]}'; there are {', '.join(SEATS)}")
    return str(asked)


def serve(runs: Path, port: int, bind: str) -> int:
    """Serve; the exit status."""
    if sys.platform != "win32":
        import resource  # noqa: PLC0415 - not there on Windows

        with contextlib.suppress(ValueError, OSError):  # many may knock
            _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
            resource.setrlimit(resource.RLIMIT_NOFILE, (min(most, _FILES), most))
        with contextlib.suppress(OSError):
            os.nice(5)  # the engine comes first
    try:
        runs.mkdir(parents=True, exist_ok=True)
        with FileLock(runs / DOOR_LOCK).acquire(blocking=False):
            Serving(runs, port, bind).run()
    except Timeout:
        sys.stderr.write("the door for these shows is open already\n")
        return 2
    except (JoinError, OSError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0
