"""The crew pages at this desk: switched on by their action, off at their window or with the desk."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.desk.crew_mark import CrewMark
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QKeyEvent, QObject, QTimer

if TYPE_CHECKING:
    from showcaller.desk.crew_server import CrewServer
    from showcaller.desk.crew_window import CrewWindow

LOOK_MS = 100
PORT = 8443


class CrewPages(QObject):
    """``server`` and ``window`` while they are there."""

    def __init__(
        self,
        where: Callable[[], tuple[Path, Path | None]],
        keys: Keys,
        hand_on: Callable[[QKeyEvent], None],
        port: int = PORT,
    ) -> None:
        """``where`` gives the folder of the runs and the show's document, if it is on disk; ``hand_on`` takes
        the keys that are pressed in their window."""
        super().__init__()
        self._where, self._keys, self._hand_on, self._port = where, keys, hand_on, port
        self._mark: CrewMark | None = None
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
            self._marked().set()
            self._timer.start(LOOK_MS)
        self.window = CrewWindow(self.server, self._keys)
        self.window.closed.connect(self._closed)
        self.window.ended.connect(self._switch_off)
        self.window.pressed.connect(self._hand_on)
        self.window.released.connect(self._hand_on)
        self.window.show()

    def _look(self) -> None:
        if self.server is not None:
            self.server.poll()
            if self.window is not None:
                self.window.refresh()

    def _closed(self) -> None:
        self.window = None

    def _marked(self) -> CrewMark:
        if self._mark is None:
            self._mark = CrewMark(self._where()[0])
        return self._mark

    def show_line(self, view: CallView, since_s: float, asked: tuple[str, str] | None, on: bool) -> None:
        """What is to be called now, at the foot of their window while a show is ``on``; called at every
        frame."""
        if self.window is not None:
            self.window.show_line(view, since_s, asked, on)

    def trouble(self, on: bool) -> str:
        """That they are off since the desk that had them on is gone, while a show is ``on``; else empty."""
        if not on or self.server is not None or not self._marked().left():
            return ""
        return f"Crew pages are off. {self._keys['crew']} puts them on again: same PIN, same links"

    def _switch_off(self) -> None:
        self.close()
        self._marked().clear()

    def close(self, on: bool = True) -> None:
        """They end with the desk. Is a show ``on``, the desk that rejoins it says that they are off."""
        self._timer.stop()
        if self.window is not None:
            self.window.close()
        if self.server is not None:
            self.server.close()
            self.server = None
            if on:
                self._marked().leave()
            else:
                self._marked().clear()
