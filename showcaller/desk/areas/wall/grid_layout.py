"""Where the grid's tiles lie: pictures to the wall's scale, as large as seven of them have room. Pure."""

from showcaller.desk.areas.wall.grid_places import COLUMNS, LOOK_ROWS, LOOKS, PLACES, SOURCE_ROWS
from showcaller.desk.qt import QRectF
from showcaller.values import Struct

HEAD_PX, LEAD_PX, NAME_PX, GAP_PX = 44, 30, 50, 10
"""The line over the tiles, that over the sources, a tile's name and mark, the gap; px at 1920×1080."""


class GridLayout(Struct, frozen=True):
    """Px of the panel: every place's picture, what of it can be touched, the line over the sources."""

    pictures: tuple[QRectF, ...]
    touched: tuple[QRectF, ...]
    lead_y: float

    def place_at(self, x: float, y: float) -> int | None:
        """The place under a point."""
        return next((n for n, box in enumerate(self.touched) if box.contains(x, y)), None)


def grid_layout(width: float, height: float, k: float, shape: float) -> GridLayout:
    """For a panel of so many px at scale ``k``; ``shape`` is the wall's width to its height."""
    rows = LOOK_ROWS + SOURCE_ROWS
    column = (width + GAP_PX * k) / COLUMNS
    room = (height - (HEAD_PX + LEAD_PX) * k) / rows - (NAME_PX + GAP_PX) * k
    wide = min(column - GAP_PX * k, max(8.0, room) * shape)
    # Whole px, so that a small picture is drawn as it was made.
    wide, high = float(int(wide)), float(int(wide / shape))
    line = high + (NAME_PX + GAP_PX) * k
    pictures, touched = [], []
    for n in range(PLACES):
        row = n // COLUMNS
        x = float(int(n % COLUMNS * column))
        y = float(int(HEAD_PX * k + row * line + (LEAD_PX * k if n >= LOOKS else 0)))
        pictures.append(QRectF(x, y, wide, high))
        touched.append(QRectF(x, y, column - GAP_PX * k, high + NAME_PX * k))
    return GridLayout(tuple(pictures), tuple(touched), HEAD_PX * k + LOOK_ROWS * line + 16 * k)
