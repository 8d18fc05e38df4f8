"""Hearing of what others add to a tour, and whether it can be reached, without anybody asking for it.

PostgreSQL tells by ``NOTIFY``; a SQLite file is looked at (its ``data_version`` changes when another program
writes).
"""

import contextlib
import json
import sqlite3
import threading
from collections.abc import Callable
from typing import Any

from sqlalchemy.exc import SQLAlchemyError

from showcaller.archive.errors import TourError
from showcaller.archive.opened import CHANNEL
from showcaller.archive.opening import make_engine, place_of
from showcaller.archive.telling import told
from showcaller.archive.values import Heard

LOOK_EVERY_S = 0.2
FIRST_RETRY_S, LONGEST_RETRY_S = 0.25, 2.0


class TourWatch:
    """A thread with a connection of its own. ``heard`` is called on that thread."""

    def __init__(self, where: str, heard: Callable[[Heard], None], desk: str = "") -> None:
        """Watch the tour at ``where`` (a path or URL); ``desk`` names one's own opening of it."""
        self._place = place_of(where)
        self._heard = heard
        self._desk = desk
        self._stop = threading.Event()
        self._ready = threading.Event()
        self._thread = threading.Thread(target=self._run, name="tour watch", daemon=True)

    @property
    def name(self) -> str:
        """What the tour is called in sentences: its path, or its address without the password."""
        return self._place.name

    def start(self) -> None:
        """Begin to watch."""
        self._thread.start()

    def wait_ready(self, timeout_s: float) -> bool:
        """Wait until it listens; whether it does."""
        return self._ready.wait(timeout_s)

    def stop(self) -> None:
        """Stop watching; returns when the connection is closed."""
        self._stop.set()
        self._thread.join(timeout=5.0)

    def _run(self) -> None:
        watch = self._listen if self._place.path is None else self._look
        away, retry_s = False, FIRST_RETRY_S
        while not self._stop.is_set():
            try:
                with told(self._place.name):
                    watch(away)
            except TourError as error:
                if not away:
                    self._heard(Heard("away", words=str(error)))
                retry_s = FIRST_RETRY_S if self._ready.is_set() else min(LONGEST_RETRY_S, retry_s * 2)
                away = True
                self._ready.clear()
                self._stop.wait(retry_s)

    def _found(self, away: bool) -> None:
        self._ready.set()
        if away:
            self._heard(Heard("back"))

    def _listen(self, away: bool) -> None:
        """PostgreSQL: wait for what is told until it cannot be waited for any more."""
        engine = make_engine(self._place)
        try:
            with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
                connection.exec_driver_sql(f"LISTEN {CHANNEL}")
                driver: Any = connection.connection.driver_connection
                self._found(away)
                module: Any = connection.dialect.dbapi
                while not self._stop.is_set():
                    try:
                        for notice in driver.notifies(timeout=LOOK_EVERY_S):
                            self._told(notice.payload)
                    except module.Error as error:
                        connection.invalidate()
                        raise SQLAlchemyError(str(error)) from error
        finally:
            engine.dispose()

    def _told(self, payload: str) -> None:
        with contextlib.suppress(ValueError, KeyError, TypeError):
            body = json.loads(payload)
            mine = bool(self._desk) and body["desk"] == self._desk
            self._heard(Heard(str(body["what"]), str(body["number"]), mine=mine))

    def _look(self, away: bool) -> None:
        """SQLite: see that somebody else has written."""
        path = self._place.path
        assert path is not None
        connection = None
        try:
            connection = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=0.1)
            before = connection.execute("PRAGMA data_version").fetchone()
            self._found(away)
            while not self._stop.wait(LOOK_EVERY_S):
                with contextlib.suppress(sqlite3.OperationalError):  # it is being written this moment
                    now = connection.execute("PRAGMA data_version").fetchone()
                    if now != before:
                        before = now
                        self._heard(Heard("anything"))
                if not path.exists():
                    raise TourError(f"{path} is gone; put it back, or open the desk with another tour")
        except sqlite3.Error as error:
            raise TourError(f"{path} cannot be read ({error}); see whether it is still there") from error
        finally:
            if connection is not None:
                connection.close()
