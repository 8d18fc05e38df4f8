"""The running order at the side of the call area."""

from math import ceil

from showcaller.calling.status_view import OrderRow
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet

_TONES = {"done": "quiet", "now": "strong", "next": "text", "later": "text", "out": "faint"}
_COLUMNS = 3
"""Of keys at the foot."""


class OrderSheet(Sheet):
    """Items with their lengths; the one that is on with its progress, kept in sight."""

    def __init__(self) -> None:
        super().__init__("Running order")
        self.rows: tuple[OrderRow, ...] = ()
        self.keys: tuple[tuple[str, str], ...] = ()

    def show_rows(self, rows: tuple[OrderRow, ...], keys: tuple[tuple[str, str], ...]) -> None:
        """Show these items, and these (key, word) pairs at the foot."""
        if (rows, keys) != (self.rows, self.keys):
            self.rows, self.keys = rows, keys
            now = next((r for r in rows if r.when in ("now", "next")), None)
            self.setAccessibleDescription(f"at {now.name}" if now else "")
            self.update()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        left, right = k(28), paper.width - k(22)
        paper.heading(left, k(30), "running order")
        step = k(40)
        column = (right - left + k(14)) / _COLUMNS
        foot = k(30) + k(36) * len(_key_rows(paper, self.keys, column))
        space = paper.height - k(48) - foot
        fits = max(1, int(space // step))
        at = next((i for i, r in enumerate(self.rows) if r.when in ("now", "next")), 0)
        first = max(0, min(at - fits // 3, len(self.rows) - fits))
        y = k(66)
        for row in self.rows[first : first + fits]:
            self._row(paper, row, left, right, y)
            y += step
        if first + fits < len(self.rows):
            paper.text(left, y, f"and {len(self.rows) - first - fits} more", "tiny", "quiet")
        self._keys(paper, left, right)

    def _row(self, paper: Paper, row: OrderRow, left: float, right: float, y: float) -> None:
        k = paper.px
        tone = _TONES[row.when]
        if row.when == "now":
            paper.fill(k(12), y - k(27), paper.width - k(24), k(38), "raised")
            paper.fill(k(12), y + k(8), (paper.width - k(24)) * row.share, k(3), "text")
        elif row.when == "next":
            paper.fill(k(12), y - k(27), k(4), k(34), "accent")
        weight = "semibold" if row.when == "now" else "regular"
        over_room = max(k(62), paper.width_of(row.over, paper.size("small")) + k(12))
        size = "body" if row.when == "now" else "small"
        paper.text(left, y, row.name, size, tone, weight, room=right - left - over_room - k(64))
        length = "skipped" if row.when == "out" else row.length
        paper.text(
            right - over_room, y, length, "small", "quiet" if row.when != "now" else "text", align="right"
        )
        if row.over:
            late = row.over.startswith("+")
            paper.text(right, y, row.over, "small", "caution" if late else "quiet", align="right")

    def _keys(self, paper: Paper, left: float, right: float) -> None:
        k = paper.px
        column = (right - left + k(14)) / _COLUMNS
        rows = _key_rows(paper, self.keys, column)
        for line, row in enumerate(rows):
            y = paper.height - k(22) - (len(rows) - 1 - line) * k(36)
            for at, key, word, box in row:
                x = left + at * column
                paper.frame(x, y - k(18), box, k(24), "faint", 1)
                paper.text(x + box / 2, y, key, "tiny", "text", "semibold", "centre")
                paper.text(x + box + k(6), y, word, "tiny", "quiet")


def _key_rows(
    paper: Paper, keys: tuple[tuple[str, str], ...], column: float
) -> list[list[tuple[int, str, str, float]]]:
    """(column, key, word, width of the key's box) in rows; a long key takes as many columns as it needs."""
    k, size = paper.px, paper.size("tiny")
    rows: list[list[tuple[int, str, str, float]]] = [[]]
    at = 0
    for key, word in keys:
        box = max(k(24), paper.width_of(key, size, "semibold") + k(12))
        width = box + k(6) + paper.width_of(word, size) + k(6)
        wide = min(_COLUMNS, max(1, ceil(width / column)))
        if at + wide > _COLUMNS:
            rows.append([])
            at = 0
        rows[-1].append((at, key, word, box))
        at += wide
    return rows
