"""Under the running order: how long tonight is, and when it ends."""

from showcaller.calling.status_view import Figure
from showcaller.calling.wording import span
from showcaller.desk.paint.paper import Paper
from showcaller.editing.running_order import tonight_s
from showcaller.model import Show

TOP = 106
"""Where the list begins, and where the figures under it end, px at 1920×1080."""
FIGURES = 150


def draw_sums(paper: Paper, show: Show, forecast: tuple[Figure, ...], y: float) -> None:
    """The figures of the running order, from ``y`` on."""
    k = paper.px
    words = f"planned {span(tonight_s(show))} from {show.starts_at}"
    paper.text(k(28), y, words, "small", "quiet", room=k(290))
    for figure in forecast:
        y += k(26)
        tone = "accent" if figure.tone != "caution" else "caution"
        figured = f"{figure.label} {figure.value}"
        size = paper.fitted(figured, "small", "regular", k(290), 0.7)
        paper.text(k(28), y, figured, tone=tone, room=k(290), size_px=size)
