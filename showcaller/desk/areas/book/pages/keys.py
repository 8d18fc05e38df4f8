"""All keys that count in the book."""

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.desk.keys import key_lines


class KeyPage(Page):
    """A line a key, by menus."""

    title = "Keys of the book"
    widths = (0.2, 0.8)

    def lead(self) -> str:
        keys = self.keys
        return (
            f"{keys['palette']} finds anything by its words. A run's letters act in Call only, "
            f"{keys['call']}."
        )

    def lines(self) -> tuple[Line, ...]:
        rows: list[Line] = []
        for heading, lines in key_lines(self.keys, "Book"):
            rows.append(Line((heading.lower(),), heading=True))
            rows += [Line(line, "strong", "text") for line in lines]
        return tuple(rows)
