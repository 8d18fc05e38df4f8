"""The edges of surfaces over a small picture of all of them: black beside black is told apart."""

from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QRectF
from showcaller.screen.spread import WallSpread


def draw_edges(paper: Paper, spread: WallSpread, box: QRectF, tone: str = "faint") -> None:
    """Over a picture drawn in ``box``; nothing for a show with one surface."""
    across, down = box.width() / spread.wall.width_px, box.height() / spread.wall.height_px
    for r in spread.areas.values():
        x, y, wide, high = r.x * across, r.y * down, r.width * across, r.height * down
        paper.frame(box.x() + x, box.y() + y, wide, high, tone, 1)
