"""What a path leads to, looked at without opening it: a pipe would hang whoever opens it."""

import stat
from pathlib import Path

from showcaller.outside.limits import Refused, size_words

_KINDS = (
    (stat.S_ISDIR, "a folder"), (stat.S_ISFIFO, "a named pipe"), (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"), (stat.S_ISBLK, "a device"),
)  # fmt: skip


def look_at_file(path: Path, most_bytes: int | None = None, name: str | None = None) -> int:
    """The size in bytes of an ordinary file that is not empty; ``name`` is what sentences call it.

    Raises:
        Refused: missing, not an ordinary file, empty, or larger than ``most_bytes``.
    """
    name = name or path.name or str(path)
    try:
        found = path.stat()
    except FileNotFoundError:
        raise Refused(f"there is no file {name}; check the name") from None
    except ValueError:
        raise Refused(f"{name!r} is not a file's name; check it") from None
    except OSError as error:
        raise Refused(f"{name} cannot be looked at: {(error.strerror or str(error)).lower()}") from None
    for is_kind, words in _KINDS:
        if is_kind(found.st_mode):
            raise Refused(f"{name} is {words}, not a file; name a file")
    if not stat.S_ISREG(found.st_mode):
        raise Refused(f"{name} is not an ordinary file; name a file")
    if found.st_size == 0:
        raise Refused(f"{name} is empty; copy it again")
    if most_bytes is not None and found.st_size > most_bytes:
        # Rounded, a file just over the limit would be said to be as large as the limit.
        size = size_words(found.st_size)
        size = f"{found.st_size:,} bytes" if size == size_words(most_bytes) else size
        raise Refused(f"{name} is {size}; files up to {size_words(most_bytes)} are read")
    return found.st_size
