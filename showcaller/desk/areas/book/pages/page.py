"""A page: a title, a sentence, rows to walk through, and what Enter does with one."""

from dataclasses import dataclass

from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QRectF


@dataclass(frozen=True, slots=True)
class Line:
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
        self._first = 0
        self._top = 0.0
        self._step = 1.0

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

    def click(self, y: float) -> bool:
        """Choose the row there; True if it was chosen already."""
        row = int((y - self._top) // self._step) + self._first
        lines = self.lines()
        if y < self._top or row >= len(lines) or lines[row].heading:
            return False
        again, self.at = row == self.at, row
        return again

    def draw(self, paper: Paper, area: QRectF) -> None:
        """The whole page."""
        k = paper.px
        left, room = area.left(), area.width()
        paper.text(left, area.top() + k(28), self.title, "title", "strong", "semibold", room=room)
        y = paper.wrapped(left, area.top() + k(64), self.lead(), room, "small", "quiet", 3)
        lines = self.lines()
        self._step = k(34)
        self._top = y + k(4)
        fits = max(1, int((area.bottom() - self._top - k(40)) // self._step))
        self.at = max(0, min(self.at, len(lines) - 1))
        if lines and lines[self.at].heading:
            self.walk(1)
        self._first = max(0, min(self._first, len(lines) - fits))
        self._first = min(max(self._first, self.at - fits + 2), max(0, self.at - 1)) if lines else 0
        for n in range(self._first, min(len(lines), self._first + fits)):
            self._row(paper, lines[n], n == self.at, left, self._top + (n - self._first) * self._step, room)
        more = len(lines) - self._first - fits
        words = f"{more} more below · {self.hint()}" if more > 0 else self.hint()
        paper.text(left, area.bottom() - k(8), words, "tiny", "quiet", room=room)

    def _row(self, paper: Paper, line: Line, chosen: bool, left: float, top: float, room: float) -> None:
        k = paper.px
        base = top + k(24)
        if line.heading:
            paper.heading(left, base, line.cells[0])
            return
        if chosen:
            paper.fill(left - k(10), top, room + k(10), self._step - k(2), "raised")
        x = left
        for n, cell in enumerate(line.cells):
            width = room * self.widths[n] if n < len(self.widths) else room * 0.2
            last = n == len(line.cells) - 1
            tone = line.tone if n == 0 else line.rest
            paper.text(x, base, cell, "small", tone, room=(left + room - x if last else width) - k(12))
            x += width

    def row_top(self, lowest: float) -> float:
        """Where the chosen row is, but no lower than that."""
        return min(lowest, self._top + (self.at - self._first) * self._step)

    def spoken(self) -> str:
        """The page for a screen reader."""
        lines = self.lines()
        here = " ".join(lines[self.at].cells) if self.at < len(lines) else ""
        return f"{self.title}. {self.lead()} {here}"
