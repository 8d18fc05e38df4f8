"""What goes between the machines that share a book: offers, what was made of them, and why not."""

from collections.abc import Mapping
from typing import Any

from showcaller.editing.changes import Change, ChangeError, change_from
from showcaller.values import Struct


class BookOffer(Struct, frozen=True):
    """A change made at a desk away from the document. ``seen`` is what stood there before it
    (:func:`~showcaller.editing.sharing.seen.seen_of`): it is taken only if that stands there still."""

    ident: str
    words: str
    change: Change
    seen: Any

    def to_data(self) -> dict[str, Any]:
        """As JSON."""
        change = self.change.model_dump(mode="json")
        return {"ident": self.ident, "words": self.words, "change": change, "seen": self.seen}

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> "BookOffer":
        """From :meth:`to_data`; raises ChangeError when it is none."""
        try:
            words = str(data["words"])[:200]
            return cls(str(data["ident"])[:40], words, change_from(data["change"]), data["seen"])
        except (KeyError, TypeError):
            raise ChangeError("that is not a change of a show; make it again in the Book") from None


class BookEntry(Struct, frozen=True):
    """A change of the book, the ``number``-th; ``name`` made it, at ``at_s`` (Unix)."""

    number: int
    ident: str
    words: str
    name: str
    at_s: float
    change: Change

    def to_data(self) -> dict[str, Any]:
        """As JSON."""
        own = {"number": self.number, "ident": self.ident, "words": self.words, "name": self.name}
        return {**own, "at_s": self.at_s, "change": self.change.model_dump(mode="json")}

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> "BookEntry":
        """From :meth:`to_data`; raises ChangeError when it is none."""
        try:
            words, name = str(data["words"]), str(data["name"])
            change = change_from(data["change"])
            return cls(int(data["number"]), str(data["ident"]), words, name, float(data["at_s"]), change)
        except (KeyError, TypeError, ValueError):
            raise ChangeError("that is not a change of a show; use one version of showcaller") from None


class Answer(Struct, frozen=True):
    """What became of an offer: it is in the book since its ``number``-th change (0: it was so already), or it
    was not taken; ``theirs`` says then in words what stands there instead and who put it there."""

    ident: str
    number: int = 0
    theirs: str = ""

    def to_data(self) -> dict[str, Any]:
        """As JSON."""
        return {"ident": self.ident, "number": self.number, "theirs": self.theirs}

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> "Answer":
        """From :meth:`to_data`; raises ChangeError when it is none."""
        try:
            return cls(str(data["ident"]), int(data["number"]), str(data["theirs"]))
        except (KeyError, TypeError, ValueError):
            raise ChangeError("that is no answer; use one version of showcaller") from None
