"""A desk of a shared book whose document is on another machine: it offers what is changed here."""

from __future__ import annotations

import contextlib
import json
import secrets
from collections.abc import Callable
from pathlib import Path

from showcaller.calling.wording import plural
from showcaller.desk.book_home import Data, Say
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.qt import QTimer
from showcaller.editing.changes import Change, ChangeError
from showcaller.editing.sharing import Answer, AwayBook, BookEntry, Conflict
from showcaller.editing.sharing.kept import keep_away, load_away, put_aside
from showcaller.model import Show, parse_show

LONGEST_OFFER, LONGEST_REQUEST = 300_000, 700_000
"""Characters. A door ends the connection of who sends it a megabyte at once."""
TOO_LONG = "that is too much at once to send: make it at the desk that has the document"


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
        offer, _ = self.book.make(secrets.token_hex(8), words, change, led)
        if len(json.dumps(offer.to_data())) > LONGEST_OFFER:
            (conflict,) = self.book.hear_answers([Answer(offer.ident, theirs=TOO_LONG)])
            self._say(conflict.words, "caution")
            QTimer.singleShot(0, lambda: self._store.theirs(self.book.shown, None))
        self._keep()

    def request(self) -> Callable[[], Data]:
        book = self.book
        offers, room = [], LONGEST_REQUEST
        for offer in book.pending:
            offers.append(offer.to_data())
            room -= len(json.dumps(offers[-1]))
            if room < LONGEST_OFFER:
                break
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
        try:
            entries = [BookEntry.from_data(one) for one in answer["entries"]]
            mine = {offer.ident for offer in self.book.pending}
            self.heard += [e for e in entries if e.number > self.book.number and e.ident not in mine]
            self.book.hear(entries)
            new = self.book.hear_answers([Answer.from_data(one) for one in answer["answers"]])
            if new:
                self._say(f"{new[-1].words}; {self._key} keeps theirs or puts yours", "caution")
        except ChangeError:  # what cannot be followed is asked for whole
            self.book.book = ""
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
