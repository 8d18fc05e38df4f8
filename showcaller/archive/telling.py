"""What a database says went wrong, as one sentence that names the tour."""

import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from showcaller.archive.errors import TourAway, TourError

_AWAY = ("08", "57P")
"""SQLSTATEs that begin so: the connection is lost, or the server stops or starts (PostgreSQL, Appendix A)."""
_BUSY, _FULL, _READ_ONLY = ("55P03",), ("53100",), ("25006", "42501")

_SQLITE = {
    sqlite3.SQLITE_BUSY: _BUSY, sqlite3.SQLITE_LOCKED: _BUSY, sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_READONLY: _READ_ONLY, sqlite3.SQLITE_CANTOPEN: _READ_ONLY, sqlite3.SQLITE_PERM: _READ_ONLY,
    sqlite3.SQLITE_NOTADB: ("not a tour",), sqlite3.SQLITE_CORRUPT: ("not a tour",),
}  # fmt: skip
"""SQLite's result codes (sqlite.org, Result and Error Codes) → what they are on a server."""


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
    cause: BaseException = error
    if isinstance(error, DBAPIError) and error.orig is not None:
        cause = error.orig
    elif error.__cause__ is not None and _is_servers(error.__cause__, "Error"):
        cause = error.__cause__  # heard while nothing was asked
    lines = str(cause).strip().splitlines() or [type(error).__name__]
    text, codes = lines[0].rstrip("."), _codes(cause)
    if _is_away(cause, codes):
        return TourAway(f"cannot reach {name}: {_short(text)}; check its server, the address and the network")
    return TourError(_sentence(name, text, codes, cause))


def _codes(cause: BaseException) -> tuple[str, ...]:
    """The SQLSTATE the server gave, or what SQLite's own code stands for; empty if there is none."""
    if isinstance(cause, sqlite3.Error):
        return _SQLITE.get(getattr(cause, "sqlite_errorcode", 0) & 0xFF, ())
    state = getattr(cause, "sqlstate", None)
    return (state,) if state else ()


def _is_away(cause: BaseException, codes: tuple[str, ...]) -> bool:
    """Whether the server does not answer just now. A connection that fails brings no SQLSTATE; one that was
    turned away for its password did reach a server."""
    if any(code.startswith(_AWAY) for code in codes):
        return True
    return _is_servers(cause, "OperationalError") and not codes and not _turned_away(cause)


def _is_servers(cause: BaseException | None, name: str) -> bool:
    """Whether it is psycopg's error of this name. Where psycopg was never loaded, as for a tour in a file, it
    raised none; loading it takes a tenth of a second."""
    driver = sys.modules.get("psycopg")
    return driver is not None and isinstance(cause, getattr(driver, name))


def _turned_away(cause: BaseException) -> bool:
    connection: Any = getattr(cause, "pgconn", None)
    return connection is not None and bool(connection.needs_password or connection.used_password)


def _short(text: str) -> str:
    """The reason alone: the driver repeats the whole address before it."""
    return text.rsplit(" failed: ", 1)[-1].removeprefix("FATAL:  ").removeprefix("Error: ")


def _sentence(name: str, text: str, codes: tuple[str, ...], cause: BaseException) -> str:
    if codes == _BUSY:
        return f"{name} is being written by another program; close it there, or try again in a moment"
    if codes and (codes == _READ_ONLY or codes[0] in _READ_ONLY):
        return f"{name} cannot be written: the file or its folder is read-only; copy it to another folder"
    if codes == ("not a tour",):
        return f"{name} is damaged or not a tour ({text}); open a copy made earlier"
    if codes == _FULL:
        return f"{name} cannot be written: the disk is full; make room and try again"
    if _is_servers(cause, "OperationalError"):
        return f"cannot reach {name}: {text}; check the address, the name and the password"
    return f"{name} could not do that: {text}"
