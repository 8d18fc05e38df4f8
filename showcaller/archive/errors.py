"""What can go wrong with a tour, said in one sentence."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError


class TourError(Exception):
    """A tour that cannot be used as asked; the text is one sentence. What was stored is as it was."""


_READ_ONLY = ("readonly", "read-only", "unable to open database file", "permission denied")
_NO_TOUR = ("file is not a database", "malformed", "disk image")


@contextmanager
def told(name: str) -> Iterator[None]:
    """Turn a database's error into a :class:`TourError` that names the tour.

    Args:
        name: what the person calls the tour: its path, or its address without the password.
    """
    try:
        yield
    except SQLAlchemyError as error:
        raise TourError(_sentence(name, error)) from error
    except OverflowError as error:  # sqlite3's own, for an integer beyond 64 bits
        raise TourError(f"{name} could not do that: a number does not fit ({error})") from error


def _sentence(name: str, error: SQLAlchemyError) -> str:
    cause = str(error.orig if isinstance(error, DBAPIError) and error.orig is not None else error)
    lines = cause.strip().splitlines() or [type(error).__name__]
    text = lines[0].rstrip(".")
    lower = text.lower()
    if "locked" in lower or "lock timeout" in lower:
        return f"{name} is being written by another program; close it there, or try again in a moment"
    if any(word in lower for word in _READ_ONLY):
        return f"{name} cannot be written: the file or its folder is read-only; copy it to another folder"
    if any(word in lower for word in _NO_TOUR):
        return f"{name} is damaged or not a tour ({text}); open a copy made earlier"
    if "full" in lower:
        return f"{name} cannot be written: the disk is full; make room and try again"
    if "connect" in lower or "resolve" in lower or "authentication" in lower:
        return f"cannot reach {name}: {text}; check the address, the name and the password"
    return f"{name} could not do that: {text}"
