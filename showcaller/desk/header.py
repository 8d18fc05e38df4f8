"""The head of the window: what show, which area, whether messages leave, what time it is."""

from dataclasses import dataclass

from showcaller.desk.paint.paper import Paper, metrics
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QRectF, Signal

AREAS = ("Book", "Wall", "Call", "Drift")


@dataclass(frozen=True)
class HeadContent:
    """``badge`` says whether messages leave (word, tone), empty while no run is open."""

    show: str
    run: str
    area: str
    badge: str
    badge_tone: str
    clock: str
    trouble: str = ""


class Header(Sheet):
    """A click on an area's name goes there; nothing else here takes a click."""

    chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__("Show, area and clock")
        self._content = HeadContent("", "", "Call", "", "text", "")
        self._tabs: dict[str, QRectF] = {}

    def show_content(self, content: HeadContent) -> None:
        """Show this."""
        if content != self._content:
            self._content = content
            self.setAccessibleDescription(f"{content.area} area, {content.badge.lower()}")
            self.update()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        c = self._content
        y = paper.height / 2 + k(8)
        x = k(28)
        x += paper.text(x, y, c.show, "small", "strong", "semibold") + k(34)
        x += paper.text(x, y, c.run, "tiny", "quiet", room=k(330)) + k(36)
        x = max(x, k(460))  # the areas keep their place whatever stands before them
        for name in AREAS:
            on = name == c.area
            width = metrics(paper.size("small"), "medium").horizontalAdvance(name)
            paper.text(x, y, name, "small", "strong" if on else "quiet", "medium")
            if on:
                paper.fill(x - k(2), paper.height - k(15), width + k(4), k(3), "strong")
            self._tabs[name] = QRectF(x - k(18), 0, width + k(36), paper.height)
            x += width + k(42)
        right = paper.width - k(28)
        used = paper.text(right, y + k(3), c.clock, "line", "strong", align="right")
        x_badge = right - used - k(34)
        if c.badge:
            width = metrics(paper.size("tiny"), "semibold", True).horizontalAdvance(c.badge) + k(28)
            x_badge -= width
            paper.frame(x_badge, paper.height / 2 - k(16), width, k(32), c.badge_tone, 2)
            paper.text(x_badge + k(14), y - k(1), c.badge, "tiny", c.badge_tone, "semibold", spaced=True)
        if c.trouble:
            self._draw_trouble(paper, x, x_badge - k(24))
        paper.line(0, paper.height - 1, paper.width, paper.height - 1)

    def _draw_trouble(self, paper: Paper, left: float, right: float) -> None:
        """What is wrong, whole: on one line if it fits, else smaller on two or three."""
        k, words = paper.px, self._content.trouble
        room = right - left
        if metrics(paper.size("small"), "semibold").horizontalAdvance(words) <= room:
            paper.text(right, paper.height / 2 + k(8), words, "small", "missed", "semibold", "right")
            return
        wide = metrics(paper.size("tiny"), "semibold").horizontalAdvance(words)
        lines = 2 if wide <= 1.8 * room else 3
        y = paper.height / 2 + k(-2 if lines == 2 else -12)
        paper.wrapped(left, y, words, room, "tiny", "missed", lines, "semibold")

    def mousePressEvent(self, event: object) -> None:
        position = event.position()  # type: ignore[attr-defined]
        for name, rect in self._tabs.items():
            if rect.contains(position):
                self.chosen.emit(name)
