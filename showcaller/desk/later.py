"""The areas that need large libraries: loaded beside the window, so that it opens without them."""

import importlib
from concurrent.futures import Future
from typing import TYPE_CHECKING

from showcaller.desk.context import DeskContext
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.loading_aside import load_aside
from showcaller.desk.qt import QStackedWidget, QWidget
from showcaller.desk.worker import Worker

if TYPE_CHECKING:
    from showcaller.desk.areas.drift.area import DriftArea
    from showcaller.desk.areas.wall.area import WallArea
    from showcaller.desk.run_controller import RunController

_MODULES = (
    "showcaller.archive.tour",
    "showcaller.calling.session",
    "showcaller.calling.simulated",
    "showcaller.engine.encode",
    "showcaller.engine.runfile",
    "showcaller.desk.areas.wall.area",
    "showcaller.desk.areas.drift.area",
    "showcaller.desk.areas.book.pages.setup",
    "showcaller.desk.handbook",
)
"""First what the tour and opening a run need, so that no key waits for it; then the two areas, and pages."""


class LaterAreas:
    """The Wall and Drift, made when first asked for, or soon after the window has opened."""

    def __init__(self, stack: QStackedWidget, store: DocumentStore, around: DeskContext) -> None:
        self._stack = stack
        self._store = store
        self._around = around
        self._wall: WallArea | None = None
        self._drift: DriftArea | None = None
        self._loading: Future[None] | None = None
        self._told = False
        self._worker = Worker("later areas")

    @property
    def wall(self) -> "WallArea":
        """The Wall."""
        if self._wall is None:
            from showcaller.desk.areas.wall.area import WallArea  # noqa: PLC0415 - that is what this is for

            self._wall = WallArea(self._store, self._around)
            self._put(self._wall, 1)
        return self._wall

    @property
    def drift(self) -> "DriftArea":
        """Drift."""
        if self._drift is None:
            from showcaller.desk.areas.drift.area import DriftArea  # noqa: PLC0415 - that is what this is for

            self._drift = DriftArea(self._store, self._around)
            self._put(self._drift, 3)
        return self._drift

    def made(self) -> tuple["WallArea | None", "DriftArea | None"]:
        """Those that have been made."""
        return self._wall, self._drift

    @property
    def drift_made(self) -> bool:
        """Whether there is a Drift to tell."""
        return self._drift is not None

    def load(self, busy: bool) -> bool:
        """Called every frame: loads in the background, then makes one a frame. True in the frame after the
        one that made the last. While a show is worked out (``busy``) none is made unasked: the two beside
        each other would hold up the window twice as long."""
        if self._told:
            return False
        if self._loading is None:
            self._loading = self._worker.submit(self._load)
        if self._drift is None or self._wall is None:
            if self._loading.done() and not busy:
                _ = self.wall if self._wall is None else self.drift  # made by asking for it
            return False
        self._told = True
        return True

    def follow(self, in_front: bool, host: "RunController") -> None:
        """Called every frame: the Wall shows how things stand; behind another area it only hears pads."""
        if in_front:
            self.wall.refresh(host)
        elif self._wall is not None:
            self._wall.listen(host)

    def close(self) -> None:
        """Let go of what they hold."""
        if self._drift is not None:
            self._drift.close_down()
        if self._wall is not None:
            self._wall.close_all()
        self._worker.close(wait=False)

    def _put(self, area: QWidget, index: int) -> None:
        """In the place that was kept for it."""
        kept, front = self._stack.widget(index), self._stack.currentIndex()
        assert kept is not None
        self._stack.insertWidget(index, area)
        self._stack.removeWidget(kept)
        self._stack.setCurrentIndex(front)
        kept.deleteLater()

    def _load(self) -> None:
        """On the worker's thread."""
        load_aside()
        for name in _MODULES:
            importlib.import_module(name)
        self._around.tour()
