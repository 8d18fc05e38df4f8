"""Dragging through the recording: small pictures at once, the very frame when the hand rests."""

from fractions import Fraction
from pathlib import Path

from platformdirs import user_cache_path

from showcaller.desk.areas.drift.player import Player
from showcaller.desk.background import Background
from showcaller.desk.qt import QImage, QObject, QTimer, Signal
from showcaller.screen.proxies import kept_proxies, make_proxies

RESTS_MS = 150
"""A hand that has not moved for so long wants the frame itself."""
LONG_S = 120.0
"""A recording shorter than this has its own frames soon enough (our choice)."""


class Scrubbing(QObject):
    """``player`` shows the recording itself. ``moved`` when another small picture is there, ``led`` when a
    hand drags."""

    moved = Signal()
    led = Signal()

    def __init__(self, player: Player, parent: QObject, folder: Path | None = None) -> None:
        super().__init__(parent)
        self._player = player
        self._folder = folder or user_cache_path("showcaller") / "tape"
        self._small = Player(self)
        self._small.frame_shown.connect(self.moved)
        self._work = Background("small pictures", self, nice=True)
        self._work.told.connect(self._told)
        self._rests = QTimer(self)
        self._rests.setSingleShot(True)
        self._rests.setInterval(RESTS_MS)
        self._rests.timeout.connect(self.rest)
        self._path = ""
        self.at_s: Fraction | None = None
        """Where the hand is; None while it does not drag."""
        self.made: float | None = None
        """What share of the small pictures is made; None where nothing is being made."""
        player.opened.connect(self._opened)
        player.frame_shown.connect(self._shown)

    @property
    def image(self) -> QImage | None:
        """The picture to show while it drags; None for the recording's own."""
        return self._small.image if self.at_s is not None and self._small.path else None

    def drag(self, at_s: Fraction) -> None:
        """The hand is at this instant of the recording."""
        self._player.pause()
        self.led.emit()
        self.at_s = at_s
        if self._small.path:
            self._small.seek(at_s)
        else:
            self._player.seek(at_s)
        self._rests.start()

    def rest(self) -> None:
        """The hand rests, or has let go: the frame itself."""
        self._rests.stop()
        if self.at_s is not None:
            self._player.seek(self.at_s)

    def fit(self, width: int, height: int) -> None:
        """How large pictures are shown, px on screen."""
        self._small.fit(width, height)

    def settle(self) -> None:
        """Wait for the small pictures, and the one that is asked for; for pictures and tests."""
        self._work.settle()
        self._small.settle()

    def close(self) -> None:
        """No more of them."""
        self._path = ""
        self._work.close()
        self._small.close()

    def _opened(self) -> None:
        """Another recording is shown: its small pictures, if it is a long one."""
        facts = self._player.facts
        self._path, self.at_s, self.made = self._player.path, None, None
        self._small.open("")
        if facts is None or facts.length_s < LONG_S:
            return
        path = Path(self._path)

        def work() -> Path | None:
            kept = kept_proxies(path, self._folder)
            return kept or make_proxies(path, self._folder, lambda share: self._go_on(str(path), share))

        self._work.newest(
            work, lambda found: self._there(str(path), found), lambda _error: self._there("", None)
        )

    def _go_on(self, path: str, share: float) -> bool:
        self._work.tell((path, share))
        return path == self._path

    def _told(self, what: object) -> None:
        if isinstance(what, tuple) and what[0] == self._path:
            self.made = float(what[1])
            self.moved.emit()

    def _there(self, path: str, found: Path | None) -> None:
        self.made = None
        if found is not None and path == self._path:
            self._small.open(str(found))
        self.moved.emit()

    def _shown(self) -> None:
        """The frame itself has come: where the hand rests it takes the small picture's place.

        A frame of where the hand was before may still come first.
        """
        if self.at_s is not None and self._player.is_there and not self._rests.isActive():
            self.at_s = None
