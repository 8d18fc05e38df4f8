"""The book at the machine that has the document: it takes offers in the order in which they come. Pure."""

import time
from collections.abc import Iterable

from showcaller.editing.changes import (
    Change,
    ChangeError,
    Put,
    SetFields,
    Take,
    Together,
    apply,
    is_made,
    part_at,
    stored,
)
from showcaller.editing.sharing.seen import field_words, meet, seen_of, value_words
from showcaller.editing.sharing.values import Answer, BookEntry, BookOffer
from showcaller.model import Show

KEPT = 2000
"""So many of the last entries are known by who made them, and so many answers."""


class HomeBook:
    """``show`` is the document after ``number`` changes; ``entries`` are the last of them."""

    def __init__(self, show: Show, taken: Iterable[str] = ()) -> None:
        """``taken`` are the idents of offers that are in the document from earlier sittings."""
        self.show = show
        self.number = 0
        self.entries: list[BookEntry] = []
        self._answers = {ident: Answer(ident) for ident in taken}

    def own(self, change: Change, after: Show, words: str, name: str, at_s: float) -> BookEntry:
        """A change made at this very desk, which led to ``after``: it is the next, whatever it is."""
        return self._add(change, after, f"home-{self.number + 1}", words, name, at_s)

    def take(self, offer: BookOffer, name: str, at_s: float) -> Answer:
        """A change that ``name`` offers. One that came before gets the same answer again."""
        if offer.ident not in self._answers:
            self._answers[offer.ident] = self._answer(offer, name, at_s)
            if len(self._answers) > KEPT:
                del self._answers[next(iter(self._answers))]
        return self._answers[offer.ident]

    def _answer(self, offer: BookOffer, name: str, at_s: float) -> Answer:
        if _is_made(self.show, offer.change) or _is_led_to(self.show, offer):
            return Answer(offer.ident)
        try:
            after, inverse = apply(self.show, offer.change)
        except ChangeError as error:
            return Answer(offer.ident, theirs=self._theirs(offer, name) or str(error))
        if seen_of(self.show, offer.change, inverse) != offer.seen:
            return Answer(offer.ident, theirs=self._theirs(offer, name) or "it is otherwise there by now")
        return Answer(
            offer.ident, self._add(offer.change, after, offer.ident, offer.words, name, at_s).number
        )

    def _theirs(self, offer: BookOffer, name: str) -> str:
        """What was changed in the offer's place, by whom and when; empty if nobody here knows."""
        found = next(
            (e for e in reversed(self.entries) if e.name != name and meet(e.change, offer.change)), None
        )
        field = field_words(self.show, offer.change)
        if found is None:
            now = self._now(offer.change)
            return f"{field} is {now} there" if field and now else ""
        at = time.strftime("%H:%M:%S", time.localtime(found.at_s))
        value = self._now(offer.change)
        if field and value and isinstance(found.change, SetFields):
            return f"{found.name} changed {field} to {value} at {at}"
        return f"{found.name} changed this at {at}: {found.words}"

    def _now(self, change: Change) -> str:
        """What stands in the place of a change of one field, in words."""
        if not isinstance(change, SetFields) or len(change.fields) != 1:
            return ""
        try:
            part = part_at(self.show, change.at)
        except ChangeError:
            return ""
        fields = part.model_dump(mode="json", include=set(change.fields))
        return value_words(SetFields(at=change.at, fields=fields)) if fields else ""

    def _add(self, change: Change, after: Show, ident: str, words: str, name: str, at_s: float) -> BookEntry:
        self.number += 1
        self.show = after
        entry = BookEntry(self.number, ident, words, name, at_s, change)
        self.entries.append(entry)
        if len(self.entries) > KEPT:
            del self.entries[0]
        return entry


def _is_made(show: Show, change: Change) -> bool:
    """Whether it is so already, to the last field, wherever that can be told for sure."""
    match change:
        case Together():
            return all(_is_made(show, one) for one in change.changes)
        case Put():
            try:
                there = part_at(show, (*change.at, str(change.part.get("id", ""))))
            except ChangeError:
                return False
            return stored(there) == change.part
        case SetFields() | Take():
            sure = not any(isinstance(step, int) for step in (*change.at, getattr(change, "key", "")))
            return sure and is_made(show, change)
        case _:
            return False


def _is_led_to(show: Show, offer: BookOffer) -> bool:
    """Whether a part that is known by its place alone is, to the last field, what the change led to."""
    change = offer.change
    if not isinstance(change, SetFields) or not any(isinstance(step, int) for step in change.at):
        return False
    try:
        there = part_at(show, change.at)
        return bool(there == type(there).model_validate({**offer.seen[1], **change.fields}))
    except (ChangeError, ValueError, TypeError, IndexError):
        return False
