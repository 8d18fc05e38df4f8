"""Where the parts of the wall area lie: the wall to scale, as large as the rest allows. Pure."""

from showcaller.desk.qt import QRect, QRectF
from showcaller.model import Wall
from showcaller.values import Struct

SIDE_PX = 432
"""The width kept for the layers at the right, px at 1920×1080."""


HEADS_PX = 118
"""In a run: the upper edge of the two pictures, under their heads."""

GAP_PX = 24
SEEN_PX = 330
"""Beside the view from a seat."""
ON_SHARE = 0.58
"""How much of the width what is on has, what is next beside it."""


class WallLayout(Struct, frozen=True):
    """Px of the area: the wall, the tabs' line, the channel graph, what is under the tabs, the side."""

    screen: QRect
    tabs_y: float
    graph: QRect
    foot: QRect
    under_graph: QRect
    side: QRectF
    next: QRect
    """In a run: what is next, beside what is on; empty otherwise."""


def wall_layout(
    width: float,
    height: float,
    k: float,
    wall: Wall,
    live: bool = False,
    pools: int = 1,
    seen: int | None = None,
) -> WallLayout:
    """For an area of so many px at scale ``k``; ``wall``: all surfaces; ``live``: a run is followed;
    ``pools`` of channels, each a graph; ``seen`` from a seat, with so many lines beside it."""
    left, top = 28 * k, (HEADS_PX if live else 76) * k
    wide = width - (SIDE_PX + 28) * k - left
    shape = wall.width_m / wall.height_m
    mine = (wide - GAP_PX * k) * ON_SHARE if live else wide
    high = min(mine / shape, height * (0.46 if pools == 1 else 0.42))
    screen = QRect(int(left), int(top), int(high * shape), int(high))
    if seen is not None:
        screen.setWidth(int(mine - (SEEN_PX * k if seen else 0)))
    room = wide - screen.width() - GAP_PX * k
    coming = min(room / shape, high) if live else 0.0
    beside = QRect(int(left + screen.width() + GAP_PX * k), int(top), int(coming * shape), int(coming))
    line = screen.bottom() + 92 * k
    graph_high = max((110 if pools == 1 else 146) * k, min(200 * k, height - line - 346 * k))
    graph = QRect(int(left), int(line + 34 * k), int(wide), int(graph_high))
    foot = QRect(int(left), int(line + 26 * k), int(wide), int(height - line - 36 * k))
    under = QRect(int(left), graph.bottom() + 1, int(wide), foot.bottom() - graph.bottom())
    side = QRectF(width - SIDE_PX * k, 70 * k, (SIDE_PX - 28) * k, height - 86 * k)
    return WallLayout(screen, line, graph, foot, under, side, beside)
