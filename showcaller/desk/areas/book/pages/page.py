"""A page: a title, a sentence, rows to walk through, and what Enter does with one."""

from showcaller.desk.keys import Keys
from showcaller.timing.way import Way
from showcaller.values import Struct


class Line(Struct, frozen=True):
    """A row: cells of text, each from its column's left edge, and the tones they have."""

    cells: tuple[str, ...]
    tone: str = "text"
    rest: str = "quiet"
    """The tone of the others."""
    heading: bool = False


class Page:
    """What every page can do; most override ``lines`` and ``enter`` only."""

    title = ""
    keys = Keys()
    """The keys in use, for what the page says of them."""
    widths: tuple[float, ...] = (1.0,)
    """Shares of the width that the columns take."""

    def __init__(self) -> None:
        self.at = 0

    def lead(self) -> str:
        """A sentence under the title."""
        return ""

    def hint(self) -> str:
        """What the keys do here."""
        return "Escape goes back to the song"

    def lines(self) -> tuple[Line, ...]:
        """The rows as they are now."""
        return ()

    def enter(self) -> None:
        """Enter on the row that is chosen."""

    def act(self, name: str) -> bool:  # noqa: ARG002 - for subclasses
        """One of the book's keys; False leaves it to the book."""
        return False

    def way(self) -> Way | None:
        """The walk-on's way to be drawn under the rows, if the chosen one is of one."""
        return None

    def typing_over(self) -> None:
        """What was typed into a row was taken, or left."""

    def refresh(self) -> None:
        """The show changed."""

    def close(self) -> None:
        """The page is left: end what it has begun."""

    def walk(self, by: int) -> None:
        """Up or down, over headings."""
        lines = self.lines()
        at = self.at + by
        while 0 <= at < len(lines) and lines[at].heading:
            at += 1 if by > 0 else -1
        if 0 <= at < len(lines):
            self.at = at

    def settle(self) -> None:
        """The chosen row is one that is there, and no heading."""
        lines = self.lines()
        self.at = max(0, min(self.at, len(lines) - 1))
        if lines and lines[self.at].heading:
            self.walk(1)

    def spoken(self) -> str:
        """The page for a screen reader."""
        lines = self.lines()
        here = " ".join(lines[self.at].cells) if self.at < len(lines) else ""
        return f"{self.title}. {self.lead()} {here}"
