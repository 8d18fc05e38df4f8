"""The crew pages at this desk: switched on by their action, off at their window or with the desk."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.desk.qt import QObject, QTimer

if TYPE_CHECKING:
    from showcaller.desk.crew_server import CrewServer
    from showcaller.desk.crew_window import CrewWindow

LOOK_MS = 100
PORT = 8443


class CrewPages(QObject):
    """``server`` and ``window`` while they are there."""

    def __init__(self, where: Callable[[], tuple[Path, Path | None]], port: int = PORT) -> None:
        """``where`` gives the folder of the runs and the show's document, if it is on disk."""
        super().__init__()
        self._where, self._port = where, port
        self.server: CrewServer | None = None
        self.window: CrewWindow | None = None
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._look)

    def toggle(self) -> None:
        """Switch them on and show their window; show it again, or put it away: they go on."""
        # Loaded when they are wanted: the desk's window opens without it.
        from showcaller.desk.crew_server import CrewServer  # noqa: PLC0415
        from showcaller.desk.crew_window import CrewWindow  # noqa: PLC0415

        if self.window is not None:
            self.window.close()
            return
        if self.server is None:
            self.server = CrewServer(*self._where(), self._port)
            self._timer.start(LOOK_MS)
        self.window = CrewWindow(self.server)
        self.window.closed.connect(self._closed)
        self.window.ended.connect(self.close)
        self.window.show()

    def _look(self) -> None:
        if self.server is not None:
            self.server.poll()
            if self.window is not None:
                self.window.refresh()

    def _closed(self) -> None:
        self.window = None

    def close(self) -> None:
        """Switch them off."""
        self._timer.stop()
        if self.window is not None:
            self.window.close()
        if self.server is not None:
            self.server.close()
            self.server = None
