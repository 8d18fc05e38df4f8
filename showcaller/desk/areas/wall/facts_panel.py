"""Wall data: each with its formula and its source under it, the cautions at the foot."""

from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QRectF, QWidget
from showcaller.model import Wall
from showcaller.screen.facts import facts_of


class FactsPanel(Sheet):
    """Shows what is known of a wall, and of the picture on it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Wall data", parent)
        self._wall: Wall | None = None
        self._level: float | None = None
        self._named = False

    def show_wall(self, wall: Wall, level: float | None, named: bool = False) -> None:
        """Show this wall; ``level`` is the picture's mean level, 0 to 1, if one was made; ``named``: it is
        one of several."""
        self._wall, self._level, self._named = wall, level, named
        self.setAccessibleDescription(", ".join(f"{f.name} {f.text}" for f in facts_of(wall, level)))
        self.update()

    def draw(self, paper: Paper) -> None:
        if self._wall is not None:
            draw_facts(paper, self._wall, QRectF(0, 0, paper.width, paper.height), self._level, self._named)


def draw_facts(paper: Paper, wall: Wall, area: QRectF, level: float | None, named: bool) -> None:
    """Each fact with its formula and its source under it; the cautions at the foot."""
    k = paper.px
    found = facts_of(wall, level)
    columns = 2
    wide = area.width() / columns
    rows = -(-len(found) // columns)
    step = min(k(84), (area.height() - k(76)) / rows)
    cautions = list(dict.fromkeys(f.caution for f in found if f.caution))
    for n, fact in enumerate(found):
        x = area.left() + n // rows * wide
        y = area.top() + k(22) + n % rows * step
        room = wide - k(30)
        name = f"{wall.name}, {fact.name}" if named and n == 0 else fact.name
        paper.text(x, y, name, "tiny", "text" if named and n == 0 else "quiet", room=k(190))
        tone = "text" if fact.value is not None else "caution"
        used = paper.text(x + k(196), y, fact.text, "small", tone, "medium", room=room - k(220))
        if fact.caution:
            mark = f"({cautions.index(fact.caution) + 1})"
            paper.text(x + k(202) + used, y, mark, "tiny", "caution")
        if step >= k(50):
            paper.text(x + k(196), y + k(23), fact.formula, "tiny", "quiet", room=room - k(196))
        if step >= k(70):
            paper.text(x + k(196), y + k(44), fact.source, "tiny", "faint", room=room - k(196))
    words = "   ".join(f"({n}) {caution}" for n, caution in enumerate(cautions, 1))
    paper.wrapped(area.left(), area.bottom() - k(40), words, area.width(), "tiny", "caution", 2)
