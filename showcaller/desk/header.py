"""The head of the window: what show, which area, whether messages leave, what time it is."""

from showcaller.desk.paint.paper import Paper, metrics
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.tabs import Tabs
from showcaller.desk.qt import Signal
from showcaller.desk.theme import theme
from showcaller.values import Struct

AREAS = ("Book", "Wall", "Call", "Drift")


class HeadContent(Struct, frozen=True):
    """``badge`` says whether messages leave (word, tone), empty while no run is open."""

    show: str
    run: str
    area: str
    badge: str
    badge_tone: str
    clock: str
    trouble: str = ""
    well: bool = False
    """What stands there is good news."""


NAMES_AT = 460
"""The areas begin here at the least, so that they keep their place whatever stands before them."""
RUN_ROOM = 330
"""Room for what is said of the run, px at 1920×1080."""


class Header(Sheet):
    """A click on an area's tab goes there; nothing else here takes a click."""

    chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__("Show, area and clock")
        self._content = HeadContent("", "", "Call", "", "text", "")
        self.tabs = Tabs("Areas", AREAS, self)
        self.tabs.chose.connect(lambda place: self.chosen.emit(AREAS[place]))

    def show_content(self, content: HeadContent) -> None:
        """Show this."""
        if content != self._content:
            self._content = content
            self.setAccessibleDescription(f"{content.area} area, {content.badge.lower()}")
            self.tabs.show_tab(AREAS.index(content.area))
            self._lay_out()
            self.update_between()

    def _lay_out(self) -> None:
        k, c = self.scale(), self._content
        show = metrics(max(11.0, theme().sizes["small"] * k), "semibold").horizontalAdvance(c.show)
        run = metrics(max(11.0, theme().sizes["tiny"] * k)).horizontalAdvance(c.run)
        x = 28 * k + show + 34 * k + min(run, RUN_ROOM * k) + 36 * k
        self.tabs.fit(k, 42, 18)
        self.tabs.move(int(max(x, NAMES_AT * k)), int((self.height() - self.tabs.height()) / 2))

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self._lay_out()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        c = self._content
        y = paper.height / 2 + k(8)
        x = k(28)
        x += paper.text(x, y, c.show, "small", "strong", "semibold") + k(34)
        paper.text(x, y, c.run, "tiny", "quiet", room=k(RUN_ROOM))
        right = paper.width - k(28)
        used = paper.text(right, y + k(3), c.clock, "line", "strong", align="right")
        x_badge = right - used - k(34)
        if c.badge:
            width = metrics(paper.size("tiny"), "semibold", True).horizontalAdvance(c.badge) + k(28)
            x_badge -= width
            paper.frame(x_badge, paper.height / 2 - k(16), width, k(32), c.badge_tone, 2)
            paper.text(x_badge + k(14), y - k(1), c.badge, "tiny", c.badge_tone, "semibold", spaced=True)
        if c.trouble:
            self._draw_trouble(paper, self.tabs.geometry().right() + k(10), x_badge - k(24))
        paper.line(0, paper.height - 1, paper.width, paper.height - 1)

    def _draw_trouble(self, paper: Paper, left: float, right: float) -> None:
        """What is wrong, whole: on one line if it fits, else smaller on two or three."""
        k, words = paper.px, self._content.trouble
        tone = "accent" if self._content.well else "missed"
        room = right - left
        if metrics(paper.size("small"), "semibold").horizontalAdvance(words) <= room:
            paper.text(right, paper.height / 2 + k(8), words, "small", tone, "semibold", "right")
            return
        wide = metrics(paper.size("tiny"), "semibold").horizontalAdvance(words)
        lines = 2 if wide <= 1.8 * room else 3
        y = paper.height / 2 + k(-2 if lines == 2 else -12)
        paper.wrapped(left, y, words, room, "tiny", tone, lines, "semibold")
