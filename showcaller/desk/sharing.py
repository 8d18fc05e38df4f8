"""The book on several machines, at a desk: what is changed here is sent, what is changed elsewhere is shown.

The desk with the document has the order (:mod:`showcaller.editing.sharing`). Ten times a second a worker
speaks to this machine's door, or to its link at a joined one; everything else is the window's thread.
"""

from __future__ import annotations

import contextlib
import secrets
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

from showcaller.calling.wording import plural
from showcaller.desk.background import Background
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.qt import QObject, QTimer
from showcaller.editing.changes import Change, ChangeError
from showcaller.editing.sharing import Answer, AwayBook, BookEntry, BookOffer, Conflict, HomeBook
from showcaller.editing.sharing.kept import keep_away, keep_taken, load_away, load_taken, put_aside
from showcaller.editing.sharing.seen import meet
from showcaller.model import Show, parse_show, show_text

LOOK_MS = 100
NOBODY_MS = 1000
"""So seldom while no door is open."""

Say = Callable[[str, str], None]
"""A sentence and its tone."""
Data = dict[str, Any]


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


class AtHome:
    """The desk that has the document."""

    def __init__(self, store: DocumentStore, ask: Callable[[Data], Data], name: Callable[[], str], say: Say):
        self._store, self._ask, self._name, self._say = store, ask, name, say
        self._path = None if store.keeper is None else store.keeper.path
        self.book = HomeBook(store.document, [] if self._path is None else load_taken(self._path))
        self.heard: list[BookEntry] = []
        self._sitting = secrets.token_hex(4)
        self._told = -1
        self._answers: list[Answer] = []

    def why_not(self) -> str:
        return ""

    def made(self, words: str, change: Change, led: tuple[Show, Change]) -> None:
        self.book.own(change, led[0], words, self._name(), time.time())

    def request(self) -> Callable[[], Data]:
        book, told, answers = self.book, self._told, self._answers
        what: Data = {"do": "book", "book": self._sitting, "answers": [one.to_data() for one in answers]}
        whole = told < 0 or (told < book.number and (not book.entries or book.entries[0].number > told + 1))
        entries = [] if whole else [e for e in book.entries if e.number > told]
        show, base = book.show, book.number

        def work() -> Data:
            more = {"text": show_text(show), "base": base} if whole else {}
            said = {**what, **more, "entries": [entry.to_data() for entry in entries]}
            return {**self._ask(said), "answered": len(answers)}

        return work

    def took(self, answer: Data) -> bool:
        self._answers = self._answers[int(answer["answered"]) :]
        self._told = int(answer["number"])
        for data in answer["offers"]:
            self._take(data)
        return bool(answer["offers"]) or bool(answer["wants_text"])

    def _take(self, data: Data) -> None:
        try:
            offer, name = BookOffer.from_data(data), str(data["name"])
        except ChangeError as error:
            self._answers.append(Answer(str(data["ident"]), theirs=str(error)))
            return
        before, answer = self.book.number, self.book.take(offer, name, time.time())
        self._answers.append(answer)
        if self._path is not None and not answer.theirs:
            with contextlib.suppress(
                OSError
            ):  # then it may be asked about once more, and is never made twice
                keep_taken(self._path, answer.ident)
        if self.book.number > before:
            entry = self.book.entries[-1]
            self.heard.append(entry)
            self._store.theirs(self.book.show, entry.change)
            self._say(f"{name}: {entry.words}", "quiet")


class Away:
    """A desk on another machine. What it has made is kept on disk until it is in the document."""

    def __init__(self, store: DocumentStore, ask: Callable[[Data], Data], say: Say, key: str) -> None:
        self._store, self._ask, self._say, self._key = store, ask, say, key
        self._path: Path | None = None if store.keeper is None else store.keeper.path
        self.book: AwayBook = load_away(store.document, self._path)
        self.heard: list[BookEntry] = []
        self._may = True
        self._state = ""

    def why_not(self) -> str:
        return (
            "" if self._may else "this machine's seat has no right to change the book: ask for another seat"
        )

    def made(self, words: str, change: Change, led: tuple[Show, Change]) -> None:
        self.book.make(secrets.token_hex(8), words, change, led)
        self._keep()

    def request(self) -> Callable[[], Data]:
        book = self.book
        offers = [offer.to_data() for offer in book.pending[:50]]
        what = {"do": "book", "book": book.book, "has": book.number, "offers": offers}

        def work() -> Data:
            answer = self._ask(what)
            return {**answer, "show": parse_show(answer["text"])} if answer.get("text") else answer

        return work

    def took(self, answer: Data) -> bool:
        if answer["heard"] and "book" not in answer:
            return False  # what was asked is on its way
        self._may = bool(answer.get("may", self._may))
        if not answer.get("book"):
            self._is("closed" if answer["heard"] else "unheard")
            return False
        before, pending = self.book.shown, len(self.book.pending)
        if "show" in answer:
            self._begin(answer)
        if answer["book"] != self.book.book:
            return False
        with contextlib.suppress(ChangeError):  # of another version: what it can do is done
            entries = [BookEntry.from_data(one) for one in answer["entries"]]
            mine = {offer.ident for offer in self.book.pending}
            self.heard += [e for e in entries if e.number > self.book.number and e.ident not in mine]
            self.book.hear(entries)
            new = self.book.hear_answers([Answer.from_data(one) for one in answer["answers"]])
            if new:
                self._say(f"{new[-1].words}; {self._key} keeps theirs or puts yours", "caution")
        if self.book.shown is not before:
            self._store.theirs(self.book.shown, None)
        if pending != len(self.book.pending):
            self._keep()
        self._is("open")
        return bool(answer["entries"])

    def _begin(self, answer: Data) -> None:
        if self.book.base != answer["show"]:  # nobody here knows who did what to it
            self._store.stack.clear()
        if self.book.base.id != answer["show"].id:
            if self._path is not None and (self.book.pending or self.book.conflicts):
                put_aside(self._path)
            self.book = AwayBook(answer["show"])
        self.book.begin(str(answer["book"]), int(answer["base"]), answer["show"])

    def _is(self, state: str) -> None:
        """Say once that it is otherwise than it was."""
        before, self._state = self._state, state
        waits = plural(len(self.book.pending), "change waits", "changes wait")
        if state == "closed" and before == "open":
            self._say(
                f"the book is closed at the machine that has it: what is changed here is kept; {waits}",
                "caution",
            )
        elif state == "unheard" and before == "open":
            self._say("the machine that has the book is not heard: what is changed here is kept", "caution")
        elif state == "open" and before in ("closed", "unheard") and self.book.pending:
            self._say(f"the book is there again; {waits} to be taken", "quiet")

    def keep_theirs(self, conflict: Conflict) -> None:
        """What was made here is given up."""
        self.book.keep_theirs(conflict)
        self._keep()

    def put_mine(self, conflict: Conflict) -> None:
        """What was made here goes over what stands there now, as a step that can be undone; raises
        ChangeError."""
        self._store.do_document(conflict.offer.words, conflict.offer.change)
        self.book.keep_theirs(conflict)
        self._keep()

    def _keep(self) -> None:
        if self._path is not None:
            with contextlib.suppress(OSError):  # the keeper says that the disk takes nothing
                keep_away(self.book, self._path)


class Sharing(QObject):
    """Keeps a document in step with other machines'. ``side`` is the end that this desk is."""

    def __init__(
        self,
        store: DocumentStore,
        runs: Callable[[], Path],
        name: Callable[[], str],
        say: Say,
        key: str = "",
    ) -> None:
        """``name`` is what others read of this desk, ``key`` that of the conflicts."""
        super().__init__()
        self._runs = runs
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

        return ask(of_door(self._runs()), what, 1.0)

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

    def close(self) -> None:
        """The desk is left."""
        self._timer.stop()
        if self._background is not None:
            self._background.close(wait=False)
