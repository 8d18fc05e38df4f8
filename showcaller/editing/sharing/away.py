"""The book at a machine away from the document: what is there, and on top of it what was made here. Pure."""

from collections.abc import Iterable

from showcaller.editing.changes import Change, ChangeError, apply, is_overtaken
from showcaller.editing.sharing.seen import field_words, seen_of, value_words
from showcaller.editing.sharing.values import Answer, BookEntry, BookOffer
from showcaller.model import Show
from showcaller.values import Struct


class Conflict(Struct, frozen=True):
    """A change made here that was not taken. ``words`` say what stands there and what was wanted here;
    ``idents`` are those of all offers that it stands for: later ones of the same field say all there is."""

    offer: BookOffer
    words: str
    idents: tuple[str, ...]


class AwayBook:
    """``shown`` is the document with all that was made here and is not answered (``pending``).

    ``book`` names the sitting at the other machine that ``number`` counts the changes of; it is empty until
    that was heard.
    """

    def __init__(self, show: Show, pending: Iterable[BookOffer] = ()) -> None:
        self.book, self.number = "", 0
        self.base = self.shown = show
        self.pending: list[BookOffer] = list(pending)
        self.conflicts: list[Conflict] = []
        self._rebase()

    def make(
        self, ident: str, words: str, change: Change, made: tuple[Show, Change] | None = None
    ) -> tuple[BookOffer, Change]:
        """Make a change here; what is to be offered, and what takes it back. ``made`` is what the change has
        led to, and its inverse, where it is made already.

        Raises:
            ChangeError: it cannot be made.
        """
        after, inverse = made or apply(self.shown, change)
        offer = BookOffer(ident, words, change, seen_of(self.shown, change, inverse))
        self.pending.append(offer)
        self.shown = after
        return offer, inverse

    def begin(self, book: str, number: int, show: Show) -> None:
        """The document as it is there after ``number`` changes: at the beginning, and after that sitting was
        closed and opened again."""
        self.book, self.number, self.base = book, number, show
        self._rebase()

    def hear(self, entries: Iterable[BookEntry]) -> bool:
        """What was changed there, from the next on; whether what is shown is another."""
        another = False
        for entry in entries:
            if entry.number != self.number + 1:
                continue
            self.base, _ = apply(self.base, entry.change)
            self.number = entry.number
            if self.pending and self.pending[0].ident == entry.ident:
                del self.pending[0]  # it is shown already
            else:
                another = True
                self.pending = [one for one in self.pending if one.ident != entry.ident]
        if another:
            self._rebase()
        return another

    def hear_answers(self, answers: Iterable[Answer]) -> list[Conflict]:
        """What became of what was offered; the conflicts that are new. Of what was taken, the change itself
        has to be heard first."""
        found: list[Conflict] = []
        for answer in answers:
            offer = next((one for one in self.pending if one.ident == answer.ident), None)
            if offer is None or (not answer.theirs and answer.number > self.number):
                continue
            self.pending.remove(offer)
            if answer.theirs:
                found.append(self._conflict(offer, answer.theirs))
            self._rebase()
        return found

    def _conflict(self, offer: BookOffer, theirs: str) -> Conflict:
        before = [one for one in self.conflicts if is_overtaken(one.offer.change, offer.change)]
        idents = (*(ident for one in before for ident in one.idents), offer.ident)
        conflict = Conflict(offer, self._words(offer, theirs), idents)
        self.conflicts = [*(one for one in self.conflicts if one not in before), conflict]
        return conflict

    def _words(self, offer: BookOffer, theirs: str) -> str:
        value = value_words(offer.change)
        yours = (
            f"yours was {value}"
            if value and field_words(self.base, offer.change)
            else f"yours: {offer.words}"
        )
        return f"{theirs}; {yours}"

    def keep_theirs(self, conflict: Conflict) -> None:
        """What was made here is given up."""
        self.conflicts.remove(conflict)

    def put_mine(self, conflict: Conflict, ident: str) -> BookOffer:
        """Make it once more, over what stands there now.

        Raises:
            ChangeError: it cannot be made any more; the conflict stays.
        """
        offer, _ = self.make(ident, conflict.offer.words, conflict.offer.change)
        self.conflicts.remove(conflict)
        return offer

    def _rebase(self) -> None:
        self.shown = self.base
        for offer in self.pending:
            try:
                self.shown, _ = apply(self.shown, offer.change)
            except ChangeError:  # it says so once it is offered
                continue
