"""The strip of times across the top of the call area."""

from showcaller.calling.status_view import Figure
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet

_X = (28, 268, 508, 748, 988, 1288)
"""Left edges of the figures on the 1920 px drawing."""


class TimeStrip(Sheet):
    """Six figures; each value is read before its label."""

    def __init__(self) -> None:
        super().__init__("Times of the show")
        self.rows: tuple[Figure, ...] = ()

    def show_rows(self, rows: tuple[Figure, ...]) -> None:
        """Show these figures."""
        if rows != self.rows:
            self.rows = rows
            self.setAccessibleDescription(", ".join(f"{r.label} {r.value} {r.note}" for r in rows))
            self.update()

    def draw(self, paper: Paper) -> None:
        top = paper.height
        spread = paper.width / (1920 * paper.k)
        edges = [x * paper.k * spread for x in _X] + [paper.width]
        for row, x, right in zip(self.rows, edges, edges[1:], strict=False):
            room = right - x - paper.px(20)
            paper.text(x, top * 0.26, row.label, "tiny", "quiet", room=room)
            size = paper.fitted(row.value, "figure", "semibold", room)
            paper.text(x, top * 0.67, row.value, tone=_tone(row), weight="semibold", size_px=size)
            paper.text(x, top * 0.92, row.note, "tiny", "quiet", room=room)
        paper.line(0, top - 1, paper.width, top - 1)


def _tone(row: Figure) -> str:
    return {"text": "strong", "quiet": "faint"}.get(row.tone, row.tone)
