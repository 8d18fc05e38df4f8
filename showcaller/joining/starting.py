"""Starting the door or the link as a process of its own, which outlives whoever started it."""

import contextlib
import time
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from showcaller.engine.clock import boot_id
from showcaller.engine.protocol import read_endpoint
from showcaller.joining.asking_in import Known
from showcaller.joining.control import ask, is_there, of_door, of_link
from showcaller.joining.doors import keep_doors
from showcaller.joining.errors import JoinError
from showcaller.joining.guests import read_guests
from showcaller.joining.spawning import DOOR_LOCK, LINK_LOCK, LOG, spawn
from showcaller.joining.wire import PORT

_WITHIN_S = 15.0
OTHERS_S = 2.5
"""Doors that can be reached tell their term within less."""


def start_door(runs: Path, port: int = PORT, bind: str = "0.0.0.0") -> None:
    """Open the door to the runs in a folder, if it is not open.

    Raises:
        JoinError: it would not open; the sentence is its own.
    """
    if not is_there(of_door(runs)):
        _start(runs, of_door(runs), "door", str(runs), str(port), bind)


def reopen_door(runs: Path) -> bool:
    """Open the door again where it was, if its process has died. One that was closed leaves nothing behind;
    what one of before the machine was switched on has left does not count. Whether it was opened.

    Raises:
        JoinError: it would not open; the sentence is its own.
    """
    left = _left_behind(of_door(runs), runs / DOOR_LOCK)
    if left is None or "port" not in left:
        return False
    _start(runs, of_door(runs), "door", str(runs), str(int(left["port"])), str(left["bind"]))
    return True


def follow_again(folder: Path) -> bool:
    """The same for the link of a folder: whether it was started again.

    Raises:
        JoinError: it would not start; the sentence is its own.
    """
    if _left_behind(of_link(folder), folder / LINK_LOCK) is None:
        return False
    _start(folder, of_link(folder), "link", str(folder))
    return True


def _left_behind(there: Path, lock: Path) -> dict[str, Any] | None:
    left = read_endpoint(there)
    if left is None or left.get("boot") != boot_id():
        return None
    try:
        with FileLock(lock).acquire(blocking=False):
            return left
    except (Timeout, OSError):
        return None  # it lives


def start_link(folder: Path, doors: list[Known]) -> None:
    """Follow what is on at these doors; a link that is there already is told by what it reads next time.

    Raises:
        JoinError: it would not start; the sentence is its own.
    """
    keep_doors(folder, doors)
    if not is_there(of_link(folder)):
        _start(folder, of_link(folder), "link", str(folder))


def ask_others(runs: Path, within_s: float = 5.0) -> None:
    """Before an engine is started again: does another machine have the run by now? The door asks those that
    can take over, and follows the one that has. Nothing is waited for where there is none."""
    if all(guest.seat != "engine" for guest in read_guests(runs).by_key.values()):
        return
    until_s = time.monotonic() + within_s
    heard_s = time.monotonic() + OTHERS_S
    with contextlib.suppress(JoinError):
        start_door(runs)
        status = ask(of_door(runs), {"do": "status"})
        while time.monotonic() < heard_s and not status["others_told"]:
            time.sleep(0.05)
            status = ask(of_door(runs), {"do": "status"})
        if status["moved"] is None:
            return
        while time.monotonic() < until_s:
            with contextlib.suppress(JoinError):
                status = ask(of_link(runs), {"do": "status"}, 1.0)
                if status["folder"] and status["live"]:
                    return
            time.sleep(0.05)


def _start(folder: Path, there: Path, *args: str) -> None:
    process = spawn(folder, *args)
    path = folder / LOG
    until_s = time.monotonic() + _WITHIN_S
    while time.monotonic() < until_s:
        if is_there(there):
            process.returncode = 0  # it is meant to outlive us: nobody waits for it
            return
        if process.poll() is not None and not is_there(there):
            lines = path.read_text(encoding="utf-8", errors="replace").strip().splitlines()
            raise JoinError(lines[-1] if lines else "it ended without giving a reason; try once more")
        time.sleep(0.02)
    process.kill()
    process.wait()
    raise JoinError(f"it did not answer within {_WITHIN_S:g} s; try again")
