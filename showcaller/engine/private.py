"""A folder that only this user can use, and where it lies in memory if the system has such a place.

Sockets, the lease that says an engine lives, and the newest part of a run's log are kept there. A folder that
another user made first is never used: whoever owns it could answer in the engine's name.
"""

import os
import stat
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from filelock import FileLock


def _candidates() -> Iterator[Path]:
    runtime = os.environ.get("XDG_RUNTIME_DIR")
    if runtime:
        yield Path(runtime) / "showcaller"
    user = os.getuid()
    if sys.platform.startswith("linux"):
        yield Path("/dev/shm") / f"showcaller-{user}"
    yield Path(tempfile.gettempdir()) / f"showcaller-{user}"


def is_private(folder: Path) -> bool:
    """Whether ``folder`` is a real folder of this user that nobody else may enter."""
    try:
        found = folder.lstat()
    except OSError:
        return False
    return stat.S_ISDIR(found.st_mode) and found.st_uid == os.getuid() and found.st_mode & 0o077 == 0


def private_folder() -> Path | None:
    """The folder, made if it is not there; None where there is none that is safe (and on Windows)."""
    if sys.platform == "win32":
        return None
    for folder in _candidates():
        try:
            folder.mkdir(mode=0o700)
        except FileExistsError:
            pass
        except OSError:
            continue
        if is_private(folder):
            return folder
    return None


def socket_folder() -> Path:
    """A private folder whose path is short enough for sockets; a new one where the usual is not safe."""
    return private_folder() or Path(tempfile.mkdtemp(prefix="sc-"))


def lease(run_id: str) -> FileLock | None:
    """The right to run this run, kept outside its folder; None where there is no place for it.

    Raises:
        filelock.Timeout: another engine has it.
    """
    private = private_folder()
    if private is None:
        return None
    found = FileLock(private / f"{run_id[:40]}.lease")
    found.acquire(blocking=False)
    return found
