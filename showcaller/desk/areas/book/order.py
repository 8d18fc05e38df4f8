"""The running order at the side: drawn, scrolled, found again under the mouse."""

from dataclasses import dataclass

from showcaller.calling.status_view import Figure
from showcaller.calling.wording import span
from showcaller.desk.paint.paper import Paper
from showcaller.editing.running_order import tonight_s
from showcaller.model import Show


@dataclass(frozen=True, slots=True)
class OrderGround:
    """Where rows are: the first that is shown, how many, from which y, how high."""

    first: int
    count: int
    top: float
    step: float
    right: float

    def index(self, x: float, y: float) -> int | None:
        """Which item is there."""
        row = int((y - self.top) // self.step)
        return self.first + row if x < self.right and 0 <= row < self.count else None


def order_ground(show: Show, chosen: int, height: float, k: float) -> OrderGround:
    """Rows around the chosen item."""
    top, step = 142 * k, 36 * k
    fits = max(3, int((height - top - 190 * k) // step))
    first = max(0, min(chosen - fits // 2, len(show.items) - fits))
    return OrderGround(first, min(fits, len(show.items) - first), top, step, 316 * k)


def draw_order(
    paper: Paper,
    show: Show,
    ground: OrderGround,
    chosen: int,
    dragged_to: int | None,
    forecast: tuple[Figure, ...],
) -> None:
    """The items with their planned lengths; what is out is in grey and says so."""
    k = paper.px
    paper.heading(k(28), k(126), "running order")
    for row in range(ground.count):
        index = ground.first + row
        item = show.items[index]
        top = ground.top + row * ground.step
        base = top + k(25)
        if index == chosen:
            paper.fill(k(14), top, k(296), ground.step - k(2), "raised")
        tone = "faint" if item.out else "strong" if index == chosen else "text"
        name = f"or: {item.name}" if item.instead_of is not None else item.name
        paper.text(k(28), base, name, "small", tone, room=k(196 if not item.out else 168))
        length = span(item.length_s)
        quiet = "faint" if item.out else "quiet"
        paper.text(k(298), base, f"out {length}" if item.out else length, "small", quiet, align="right")
    if dragged_to is not None:
        y = ground.top + (dragged_to - ground.first) * ground.step
        paper.line(k(14), y, k(310), y, "accent", 3)
    y = ground.top + ground.count * ground.step
    rest = len(show.items) - ground.first - ground.count
    if rest > 0:
        paper.text(k(28), y + k(18), f"and {rest} more", "tiny", "quiet")
        y += k(20)
    y += k(26)
    paper.text(
        k(28), y, f"planned {span(tonight_s(show))} from {show.starts_at}", "small", "quiet", room=k(290)
    )
    for figure in forecast:
        y += k(26)
        tone = "accent" if figure.tone != "caution" else "caution"
        paper.text(k(28), y, f"{figure.label} {figure.value}", "small", tone, room=k(290))
