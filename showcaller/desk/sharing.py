"""The book on several machines, at a desk: what is changed here is sent, what is changed elsewhere is shown.

The desk with the document has the order (:mod:`showcaller.editing.sharing`). Ten times a second a worker
speaks to this machine's door, or to its link at a joined one; everything else is the window's thread.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from showcaller.desk.background import Background
from showcaller.desk.book_away import Away
from showcaller.desk.book_home import AtHome, Data, Say
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.qt import QObject, QTimer
from showcaller.editing.changes import Change
from showcaller.editing.sharing import BookEntry
from showcaller.editing.sharing.seen import meet
from showcaller.model import Show

LOOK_MS = 100
NOBODY_MS = 1000
"""So seldom while no door is open."""


class Side(Protocol):
    """One of the two ends, as the window asks it and its worker speaks for it."""

    heard: list[BookEntry]

    def why_not(self) -> str:
        """Why nothing may be changed here."""

    def made(self, words: str, change: Change, led: tuple[Show, Change]) -> None:
        """A change was made here; ``led`` is what it led to, and what takes it back."""

    def request(self) -> Callable[[], Data]:
        """What the worker does: ask, and give what was answered."""

    def took(self, answer: Data) -> bool:
        """What was answered; whether there is more to be said at once."""


class Sharing(QObject):
    """Keeps a document in step with other machines'. ``side`` is the end that this desk is."""

    def __init__(
        self,
        store: DocumentStore,
        runs: Callable[[], Path],
        name: Callable[[], str],
        say: Say,
        key: str = "",
        door_is_back: Callable[[], None] = lambda: None,
    ) -> None:
        """``name`` is what others read of this desk, ``key`` that of the conflicts. ``door_is_back``: this
        machine's door had died and is open again."""
        super().__init__()
        self._runs, self._door_is_back = runs, door_is_back
        self._is_left = self._reopened = False
        """By the second the worker says so to the window's thread."""
        away = store.keeper is not None and store.keeper.is_copy
        self.away = Away(store, self._ask_link, say, key) if away else None
        self.side: Side = self.away or AtHome(store, self._ask_door, name, say)
        self._background: Background | None = None
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._look)
        store.share = self
        if store.keeper is not None and not store.keeper.read_only:
            self._timer.start(LOOK_MS)

    @property
    def heard(self) -> int:
        """How many changes of others were heard so far."""
        return len(self.side.heard)

    def why_not(self) -> str:
        """Why nobody at this desk may change the book; empty if they may."""
        return self.side.why_not()

    def made(self, words: str, change: Change, led: tuple[Show, Change]) -> None:
        """A change was made at this desk."""
        self.side.made(words, change, led)

    def others(self, change: Change, since: int) -> str:
        """Who else has been at the place of a change since so many were heard."""
        found = next((e for e in reversed(self.side.heard[since:]) if meet(e.change, change)), None)
        if found is None:
            return ""
        at = time.strftime("%H:%M:%S", time.localtime(found.at_s))
        return f"{found.name} changed this at {at} ({found.words})"

    def _ask_door(self, what: Data) -> Data:
        from showcaller.joining.control import ask, of_door  # noqa: PLC0415 - loaded once the window stands
        from showcaller.joining.errors import JoinError  # noqa: PLC0415
        from showcaller.joining.starting import reopen_door  # noqa: PLC0415

        try:
            return ask(of_door(self._runs()), what, 1.0)
        except JoinError:
            if not self._is_left:
                self._reopened = reopen_door(self._runs()) or self._reopened
            raise

    def _ask_link(self, what: Data) -> Data:
        from showcaller.joining.control import ask, of_link  # noqa: PLC0415

        return ask(of_link(self._runs()), what, 1.0)

    def _look(self) -> None:
        if self._background is None:
            self._background = Background("shared book", self)
        if not self._background.busy:
            self._background.start(self.side.request(), self._took, self._failed)

    def _took(self, answer: Data) -> None:
        self._timer.setInterval(LOOK_MS)
        if self.side.took(answer):
            QTimer.singleShot(0, self._look)

    def _failed(self, _error: Exception) -> None:
        self._timer.setInterval(NOBODY_MS)
        if self._reopened:
            self._reopened = False
            self._door_is_back()

    def close(self) -> None:
        """The desk is left: it starts nothing again any more, whatever ends behind it."""
        self._is_left = True
        self._timer.stop()
        if self._background is not None:
            self._background.close(wait=False)
