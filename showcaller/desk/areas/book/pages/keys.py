"""All of the book's keys."""

from showcaller.desk.areas.book.keys import BOOK_KEYS
from showcaller.desk.areas.book.pages.page import Line, Page

_PARTS = (
    ("typing and finding", ("edit", "find", "undo", "redo", "show")),
    ("cues", ("new_cue", "earlier", "later", "copy", "cut", "paste", "remove", "renumber", "send")),
    ("items", ("new_item", "up", "down", "out", "split", "tap", "length")),
    ("the strip", ("closer", "further", "whole")),
    ("pages", ("import", "export", "editions", "day", "setup", "check")),
)


class Keys(Page):
    """A line a key, in the order in which one builds a show."""

    title = "Keys of the book"
    widths = (0.2, 0.8)

    def lead(self) -> str:
        return "Up and down choose an item, left and right a cue. A run's own keys work here too."

    def lines(self) -> tuple[Line, ...]:
        rows: list[Line] = []
        for heading, names in _PARTS:
            rows.append(Line((heading,), heading=True))
            rows += [Line((BOOK_KEYS[name][0], BOOK_KEYS[name][2]), "strong", "text") for name in names]
        return tuple(rows)
