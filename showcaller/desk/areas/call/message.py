"""What the desk asks or says above the box: as high as its words need, so that nothing ever lies over it."""

from showcaller.desk.areas.call.box import broken
from showcaller.desk.paint.paper import Paper
from showcaller.desk.told import Prompted
from showcaller.values import Struct

TOP = 8
"""Where its plate begins."""
GAP = 6
"""Between its plate and what is below."""
_LINES = 4
_STEP = 1.3


class LaidMessage(Struct, frozen=True):
    """Sizes in px of this screen; ``height`` is that of the plate."""

    heading: str
    heading_px: float
    lines: tuple[str, ...]
    size_px: float
    height: float

    def foot(self, paper: Paper) -> float:
        """The y below which it is free."""
        return paper.px(TOP) + self.height + paper.px(GAP)


def lay(paper: Paper, asked: Prompted, width: float) -> LaidMessage:
    """Break a message to ``width`` px: one line as large as it fits, or more lines at the size of a text."""
    k = paper.px
    room = width - k(44)
    heading = asked.heading.upper()
    heading_px = paper.fitted(heading, "small", "semibold", room / 1.09, 0.6)
    size = paper.fitted(asked.words, "line", "semibold", room, 0.5)
    lines: tuple[str, ...] = (asked.words,)
    if size < paper.size("body"):
        size = paper.size("body")
        lines = broken(asked.words, room, size, "semibold")
        while len(lines) > _LINES and size > 11.0:
            size = max(11.0, size * 0.92)
            lines = broken(asked.words, room, size, "semibold")
    return LaidMessage(heading, heading_px, lines, size, k(32) + len(lines) * size * _STEP + k(8))


def draw(paper: Paper, laid: LaidMessage, tone: str, left: float, right: float) -> None:
    """The plate at the top of the paper."""
    k = paper.px
    top = k(TOP)
    paper.fill(left, top, right - left, laid.height, "raised")
    paper.fill(left, top, k(5), laid.height, tone)
    x, ink = left + k(24), "text" if tone == "quiet" else tone
    paper.text(
        x, top + k(26), laid.heading, tone=ink, weight="semibold", spaced=True, size_px=laid.heading_px
    )
    y = top + k(32) - laid.size_px * 0.28
    for line in laid.lines:
        y += laid.size_px * _STEP
        paper.text(x, y, line, tone="strong", weight="semibold", size_px=laid.size_px)
