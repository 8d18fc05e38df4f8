"""Starting the door or the link as a process of its own, which outlives whoever started it."""

import os
import subprocess
import sys
import time
from pathlib import Path

from showcaller.joining.asking_in import Known
from showcaller.joining.control import is_there
from showcaller.joining.errors import JoinError
from showcaller.joining.following import keep_doors
from showcaller.joining.wire import PORT

LOG = "joining.log"
_WITHIN_S = 15.0


def start_door(runs: Path, port: int = PORT, bind: str = "0.0.0.0") -> None:
    """Open the door to the runs in a folder, if it is not open.

    Raises:
        JoinError: it would not open; the sentence is its own.
    """
    if not is_there(runs):
        _start(runs, "door", str(runs), str(port), bind)


def start_link(folder: Path, doors: list[Known]) -> None:
    """Follow what is on at these doors; a link that is there already is told by what it reads next time.

    Raises:
        JoinError: it would not start; the sentence is its own.
    """
    keep_doors(folder, doors)
    if not is_there(folder):
        _start(folder, "link", str(folder))


def _start(folder: Path, *args: str) -> None:
    path = folder / LOG
    try:
        folder.mkdir(parents=True, exist_ok=True)
        log = path.open("ab")
    except OSError:  # a full or read-only disk is no reason to be alone
        log = open(os.devnull, "ab")  # noqa: SIM115, PTH123 - closed below
    with log:
        process = subprocess.Popen(
            [sys.executable, "-m", "showcaller.joining", *args],
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,
        )
    until_s = time.monotonic() + _WITHIN_S
    while time.monotonic() < until_s:
        if process.poll() is not None:
            lines = path.read_text(encoding="utf-8", errors="replace").strip().splitlines()
            raise JoinError(lines[-1] if lines else "it ended without giving a reason; try once more")
        if is_there(folder):
            process.returncode = 0  # it is meant to outlive us: nobody waits for it
            return
        time.sleep(0.02)
    process.kill()
    process.wait()
    raise JoinError(f"it did not answer within {_WITHIN_S:g} s; try again")
