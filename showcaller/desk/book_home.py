"""The desk that has the document of a shared book: it takes what others offer, in its order."""

from __future__ import annotations

import contextlib
import secrets
import time
from collections.abc import Callable
from typing import Any

from showcaller.desk.document_store import DocumentStore
from showcaller.editing.changes import Change, ChangeError
from showcaller.editing.sharing import Answer, BookEntry, BookOffer, HomeBook
from showcaller.editing.sharing.kept import keep_taken, load_taken
from showcaller.model import Show, show_text

Data = dict[str, Any]
Say = Callable[[str, str], None]
"""A sentence and its tone."""


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
            # Where the disk takes it not, it may be asked about once more, and is never made twice.
            with contextlib.suppress(OSError):
                keep_taken(self._path, answer.ident)
        if self.book.number > before:
            entry = self.book.entries[-1]
            self.heard.append(entry)
            self._store.theirs(self.book.show, entry.change)
            self._say(f"{name}: {entry.words}", "quiet")
