"""Has the small pictures of the grid made, a few times a second, by a process of their own; says how old they
are."""

import time
from collections.abc import Callable
from pathlib import Path

from showcaller.desk.areas.wall.grid_places import COLUMNS
from showcaller.desk.areas.wall.grid_view import GridView, sheet
from showcaller.desk.projector import Projector, Shot
from showcaller.desk.qt import QImage, QObject, Signal
from showcaller.model import Wall
from showcaller.timing.plan import Plan

LEAST_PX = 8
EVERY_S = 0.25
SHARE = 0.2
"""The process that makes them is busy with it for a fifth of the time at most: what is on goes before."""

OLD_S = 1.5
"""A picture older than this is marked as old: it is no longer what is there."""

ROUND_S = 20.0
"""Sources are shown from their beginning on for so long, then from their beginning again."""


class GridPictures(QObject):
    """``made`` is told after every sheet."""

    made = Signal()

    def __init__(self, folder: Callable[[], Path | None]) -> None:
        super().__init__()
        self.projector = Projector()
        self.projector.made.connect(self._made)
        self._folder = folder
        self._began_s = self._asked_s = -1e9
        self._made_s: float | None = None
        self._asked: tuple[tuple[str, ...], tuple[int, int]] | None = None
        self._waits = False
        self.shown: tuple[str, ...] = ()
        """What stands in every place of the newest sheet: a tile that is another has no picture yet."""
        self._sources: object = None

    def want(self, plan: Plan, wall: Wall, view: GridView, size: tuple[int, int], now_s: float) -> None:
        """Called at every frame while the grid is seen: ask for the next sheet when it is time. ``size`` is a
        tile's, px of the screen."""
        wanted = tuple(f"{t.kind} {t.id}" for t in view.tiles), size
        every_s = max(EVERY_S, self.projector.counters().last_ms / 1000 / SHARE)
        waits = self._waits and not self.projector.lost  # one at a time, so that it is known what it shows
        if min(size) < LEAST_PX or waits or (now_s - self._asked_s < every_s and wanted == self._asked):
            return
        if now_s - self._began_s > ROUND_S:
            self._began_s = now_s
        made = sheet(plan, view, round(now_s - self._began_s, 2), COLUMNS)
        if made is None:
            return
        if self._sources is not plan.show.sources:
            self._sources = plan.show.sources
            self.projector.take_sources(plan.show.sources, self._folder())
        self._asked, self._asked_s, self._waits = wanted, now_s, True
        wide, high = size[0] * COLUMNS, size[1] * made.rows
        self.projector.ask(Shot(wall, made, wide, high, live=False, surfaces=plan.show.surfaces))

    def image(self) -> QImage | None:
        """The newest sheet."""
        return self.projector.newest()

    def age_s(self, now_s: float) -> float | None:
        """How old the newest sheet is; None while there is none."""
        return None if self._made_s is None else now_s - self._made_s

    def settle(self, timeout_s: float) -> None:
        """Wait until the sheet that was asked for is there."""
        self.projector.settle(timeout_s)

    def close(self) -> None:
        """Stop the process."""
        self.projector.close()

    def _made(self) -> None:
        self._made_s, self._waits = time.monotonic(), False
        if self._asked is not None:
            self.shown = self._asked[0]
        self.made.emit()
