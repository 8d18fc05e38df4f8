"""The shared book, at the door: what the desk with the document tells, and what others offer it.

That desk has the order and gives the answers; nothing is judged here but who may change the book at all. Pure
but for the time it is given (s).
"""

from dataclasses import dataclass, field
from typing import Any

from showcaller.joining.guests import Guest
from showcaller.run.rights import may_edit, no_edit

CLOSED_S = 2.0
"""A desk that has not spoken for so long has closed the book."""
MOST_OFFERS = 200
ANSWERS = 2000
ENTRIES = 200
"""As many at once as an answer has."""

Data = dict[str, Any]


@dataclass
class BookRoom:
    """``book`` names the sitting; ``text`` is the document after ``base`` changes, and ``entries`` are all
    since then."""

    book: str = ""
    base: int = 0
    text: str = ""
    entries: list[Data] = field(default_factory=list)
    offers: dict[str, Data] = field(default_factory=dict)
    answers: dict[str, Data] = field(default_factory=dict)
    home_s: float = -1e9

    @property
    def number(self) -> int:
        """How many changes are known here."""
        return self.base + len(self.entries)

    def home(self, told: Data, now_s: float) -> Data:
        """The desk with the document tells what is new; what it is offered, and whether it is to tell all."""
        self.home_s = now_s
        if "text" in told:
            again = told["book"] == self.book
            self.book, self.base, self.text = str(told["book"]), int(told["base"]), str(told["text"])
            self.entries = []
            self.answers = self.answers if again else {}
        if told["book"] != self.book:
            return {"wants_text": True, "number": -1, "offers": []}
        for entry in told["entries"]:
            if int(entry["number"]) == self.number + 1:
                self.entries.append(entry)
        for answer in told["answers"]:
            self.offers.pop(str(answer["ident"]), None)
            self.answers[str(answer["ident"])] = answer
        while len(self.answers) > ANSWERS:
            del self.answers[next(iter(self.answers))]
        return {"wants_text": False, "number": self.number, "offers": list(self.offers.values())[:ENTRIES]}

    def guest(self, guest: Guest, asked: Data, now_s: float) -> Data:
        """A desk on another machine has so much of the book, and offers changes; what is new to it."""
        if not self.book or now_s - self.home_s > CLOSED_S:
            return {"book": "", "may": may_edit(guest.seat)}
        has, same = int(asked.get("has", 0)), asked.get("book") == self.book
        known = same and self.base <= has
        answers = self._offered(guest, list(asked.get("offers", []))[:MOST_OFFERS])
        found: Data = {"book": self.book, "may": may_edit(guest.seat), "answers": answers}
        start = has if known else self.base
        found["entries"] = self.entries[start - self.base :][:ENTRIES]
        return found if known else {**found, "base": self.base, "text": self.text}

    def _offered(self, guest: Guest, offers: list[Data]) -> list[Data]:
        answers = []
        for offer in offers:
            ident = str(offer["ident"])
            if not may_edit(guest.seat):
                answers.append({"ident": ident, "number": 0, "theirs": no_edit(guest.seat)})
            elif ident in self.answers:
                answers.append(self.answers[ident])
            elif len(self.offers) < MOST_OFFERS:
                self.offers[ident] = {**offer, "name": guest.name}
        return answers
