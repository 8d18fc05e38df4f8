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
        self.title = f"Import {name}: {found[0].title}"

    @property
    def left(self) -> int:
        """How many sheets are still to be decided on."""
        return len(self._left)

    def lead(self) -> str:
        found = self._left[0]
        columns = ", ".join(
            f"{said} → {what or 'ignored'}"
            for _, said, what in found.columns
            if what in _IMPORTANT or said.lower() != what
        )
        return f"{found.summary}." + (f" Columns: {columns}." if columns else "")

    def hint(self) -> str:
        if self._left[0].change is None:
            return "nothing to import · Escape goes back"
        more = f", then {len(self._left) - 1} more" if len(self._left) > 1 else ""
        return f"Enter imports this{more} · Escape leaves everything as it is"

    def lines(self) -> tuple[Line, ...]:
        found = self._left[0]
        remarks = [Line((str(r),), _tone(r)) for r in found.remarks[:MOST]]
        rows = [Line(row) for row in found.rows[:MOST]]
        head = [Line(("to check",), heading=True)] if remarks else []
        title = f"what is imported, {len(found.rows)} rows" if len(found.rows) > MOST else "what is imported"
        return (*head, *remarks, Line((title,), heading=True), *rows)

    def enter(self) -> None:
        found = self._left[0]
        if found.change is None or not self._take(found):
            return
        if len(self._left) > 1:
            self._left.pop(0)
            self.title = f"Import {self._name}: {self._left[0].title}"
            self.at = 0


def _tone(remark: Remark) -> str:
    if remark.wrong:
        return "caution"
    return "quiet" if remark.harmless else "text"
