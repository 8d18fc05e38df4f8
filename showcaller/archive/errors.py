"""What can go wrong with a tour, said in one sentence."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError


class TourError(Exception):
    """A tour that cannot be used as asked; the text is one sentence. What was stored is as it was."""


class TourAway(TourError):  # noqa: N818 - it reads as what it is
    """The tour's database does not answer just now; what is not in it yet waits in the runs' journals."""


_AWAY = (
    "closed the connection", "connection is lost", "connection is closed", "terminating connection",
    "shutting down", "starting up", "in recovery", "connection refused", "no such file or directory",
    "timeout expired", "could not receive", "consuming input failed", "not yet accepting", "unreachable",
)  # fmt: skip
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
        raise _failure(name, error) from error
    except UnicodeDecodeError as error:  # a text in the file, or in what SQLite says of it, is rubbish
        raise TourError(f"{name} is damaged ({error.reason}); open a copy made earlier") from error
    except OverflowError as error:  # sqlite3's own, for an integer beyond 64 bits
        raise TourError(f"{name} could not do that: a number does not fit ({error})") from error


def _failure(name: str, error: SQLAlchemyError) -> TourError:
    cause = str(error.orig if isinstance(error, DBAPIError) and error.orig is not None else error)
    lines = cause.strip().splitlines() or [type(error).__name__]
    text = lines[0].rstrip(".")
    lower = text.lower()
    if "://" in name and any(word in lower for word in _AWAY):
        return TourAway(f"cannot reach {name}: {_short(text)}; check its server, the address and the network")
    return TourError(_sentence(name, text, lower))


def _short(text: str) -> str:
    """The reason alone: the driver repeats the whole address before it."""
    return text.rsplit(" failed: ", 1)[-1].removeprefix("FATAL:  ").removeprefix("Error: ")


def _sentence(name: str, text: str, lower: str) -> str:
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
