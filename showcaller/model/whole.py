"""Files that are there whole or not at all, and that others may read where the user's umask lets them."""

import os
import secrets
from collections.abc import Callable
from pathlib import Path


def beside(path: Path) -> tuple[int, Path]:
    """A new empty file in the same folder, open for writing, with the rights the umask leaves; those of the
    file at ``path`` if there is one. To be renamed over it.

    Raises:
        OSError: the folder cannot be written.
    """
    temporary = path.parent / f".{path.stem}.{secrets.token_hex(6)}{path.suffix}"
    handle = os.open(temporary, os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_CLOEXEC", 0), 0o666)
    try:
        if hasattr(os, "fchmod") and path.exists():
            os.fchmod(handle, path.stat().st_mode & 0o777)
    except OSError:
        pass  # not ours to set: it gets what the umask leaves
    return handle, temporary


def whole(path: Path, write: Callable[[Path], object]) -> None:
    """Write a file so that there is the old one or the new one, never half of it.

    Raises:
        OSError: it cannot be written; what was there is untouched.
    """
    handle, temporary = beside(path)
    os.close(handle)
    try:
        write(temporary)
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
