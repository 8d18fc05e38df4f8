"""An import as it was understood, before anything changes."""

from collections.abc import Callable

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.importing import Remark, Understood

MOST = 400
"""Rows shown of a long file."""
_IMPORTANT = frozenset({"name", "kind", "length", "tempo", "item", "who", "number", "what", "when"})
"""What is always said of the columns; of the others only where the heading says something else."""


class TakingIn(Page):
    """Each sheet in turn: what is wrong first, then the rows; Enter imports."""

    widths = (0.34, 0.3, 0.36)

    def __init__(self, name: str, found: tuple[Understood, ...], take: Callable[[Understood], bool]) -> None:
        super().__init__()
        self._name = name
        self._left = list(found)
        self._take = take
        self._no: set[int] = set()
        """Questions (by their places) that were answered with no."""
        self.title = f"Import {name}: {found[0].title}"

    @property
    def left(self) -> int:
        """How many sheets are still to be decided on."""
        return len(self._left)

    def lead(self) -> str:
        found = self._now()
        columns = ", ".join(
            f"{said} → {what or 'ignored'}"
            for _, said, what in found.columns
            if what in _IMPORTANT or said.lower() != what
        )
        return f"{found.summary}." + (f" Columns: {columns}." if columns else "")

    def hint(self) -> str:
        if self._left[0].change is None:
            return "nothing to import · Escape goes back"
        if self._asked() is not None:
            return "Enter here: the other answer · Enter on another line imports · Escape leaves all as it is"
        more = f", then {len(self._left) - 1} more" if len(self._left) > 1 else ""
        return f"Enter imports this{more} · Escape leaves everything as it is"

    def lines(self) -> tuple[Line, ...]:
        found = self._left[0]
        remarks = [Line((str(r),), _tone(r)) for r in found.remarks[:MOST]]
        rows = [Line(row) for row in found.rows[:MOST]]
        head = [Line(("to check",), heading=True)] if remarks else []
        asked = [
            Line((f"NO: {q.no}" if n in self._no else f"YES: {q.words}",), "caution")
            for n, q in enumerate(found.questions)
        ]
        if asked:
            first = Line(("Enter here imports, with these answers",), "strong")
            head = [first, Line(("the same song? Enter changes the answer",), heading=True), *asked, *head]
        title = f"what is imported, {len(found.rows)} rows" if len(found.rows) > MOST else "what is imported"
        return (*head, *remarks, Line((title,), heading=True), *rows)

    def _asked(self) -> int | None:
        """The question that is chosen, by its place."""
        at = self.at - 2  # below the first line and a heading
        return at if 0 <= at < len(self._left[0].questions) else None

    def enter(self) -> None:
        found, asked = self._left[0], self._asked()
        if asked is not None:
            self._no ^= {asked}
            return
        if found.change is None or not self._take(self._now()):
            return
        self._no = set()
        if len(self._left) > 1:
            self._left.pop(0)
            self.title = f"Import {self._name}: {self._left[0].title}"
            self.at = 0

    def _now(self) -> Understood:
        """The sheet, with what the answers make of it."""
        found = self._left[0]
        return found.answered([q for n, q in enumerate(found.questions) if n not in self._no])


def _tone(remark: Remark) -> str:
    if remark.wrong:
        return "caution"
    return "quiet" if remark.harmless else "text"
