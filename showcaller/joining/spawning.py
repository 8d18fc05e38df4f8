"""The door and the link as processes of their own, which outlive whoever started them."""

import os
import subprocess
import sys
from pathlib import Path

from showcaller.joining.asking_in import Known
from showcaller.joining.doors import keep_doors, read_doors

LOG = "joining.log"
DOOR_LOCK, LINK_LOCK = "door.lock", "link.lock"
"""Held by the door, and by the link, of a folder."""


def spawn(folder: Path, *args: str) -> subprocess.Popen[bytes]:
    """Start one; what it says goes to the log beside the runs."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        log = (folder / LOG).open("ab")
    except OSError:  # a full or read-only disk is no reason to be alone
        log = open(os.devnull, "ab")  # noqa: SIM115, PTH123 - closed below
    with log:
        return subprocess.Popen(
            [sys.executable, "-m", "showcaller.joining", *args],
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,
        )


def follow(runs: Path, at: Known) -> None:
    """Begin to follow a run that another machine has taken over, in the folder it was run in."""
    doors = [at, *(one for one in read_doors(runs) if one.key != at.key)]
    keep_doors(runs, doors)
    spawn(runs, "link", str(runs)).returncode = 0  # nobody waits for it
