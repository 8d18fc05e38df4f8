"""The recording: any frame of it decoded on a thread of its own, played on the window's clock."""

import threading
import time
from fractions import Fraction

from showcaller.desk.qt import QImage, QObject, QSize, Qt, Signal
from showcaller.desk.worker import give_way
from showcaller.screen.clips import Clip, ClipFacts
from showcaller.screen.errors import ClipError


class Player(QObject):
    """``frame_shown`` tells of another frame being there. The newest wish wins, older ones are dropped."""

    frame_shown = Signal()
    opened = Signal()
    _arrived = Signal(int, object, object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.image: QImage | None = None
        self.index = 0
        self.at_s = Fraction(0)
        self.facts: ClipFacts | None = None
        self.trouble = ""
        self._wish: tuple[str, Fraction, QSize] | None = None
        self.is_there = True
        """Whether the frame shown is the one that was asked for last, not an older wish's still."""
        self._asked_s = Fraction(0)
        self._size = QSize(640, 360)
        self._path = ""
        self._asked = 0
        self._served = 0
        self._condition = threading.Condition()
        self._stopping = False
        self._thread: threading.Thread | None = None
        self._from: tuple[float, Fraction] | None = None
        self._arrived.connect(self._take)

    def open(self, path: str) -> None:
        """Show this file from now on; nothing at all for an empty name."""
        if path != self._path:
            self.pause()
            self._path, self.image, self.facts, self.trouble = path, None, None, ""
            self.index, self.at_s, self._asked_s = 0, Fraction(0), Fraction(0)

    @property
    def path(self) -> str:
        """The file that is shown; empty for none."""
        return self._path

    def fit(self, width: int, height: int) -> None:
        """How large frames are shown, px on screen."""
        size = QSize(max(16, width), max(9, height))
        if size != self._size:
            self._size = size
            if self._path:
                self.seek(self._asked_s)

    def seek(self, at_s: Fraction | float) -> None:
        """Show the frame that is on at an instant, as soon as it is decoded."""
        if not self._path:
            return
        self._asked_s, self.is_there = max(Fraction(0), Fraction(at_s)), False
        with self._condition:
            self._wish = (self._path, self._asked_s, self._size)
            self._asked += 1
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="recording", daemon=True)
                self._thread.start()
            self._condition.notify()

    def step(self, frames: int) -> None:
        """So many frames on, or back."""
        self.pause()
        if self.facts is not None:
            self.seek((Fraction(self.index + frames) + Fraction(1, 2)) / self.facts.rate)

    def play(self) -> None:
        """Play from the frame that is shown, at the speed of life."""
        if self._path and self.image is not None:
            self._from = (time.monotonic(), self.at_s)

    def pause(self) -> None:
        """Stand still."""
        self._from = None

    @property
    def playing(self) -> bool:
        """Whether it plays."""
        return self._from is not None

    def clock(self) -> float | None:
        """Where it is now, seconds into the file; None while it does not play. From any thread."""
        begun = self._from
        return None if begun is None else float(begun[1]) + time.monotonic() - begun[0]

    def tick(self) -> None:
        """While it plays: show what is on now. Frames that would come too late are left out."""
        if self._from is None or self.facts is None:
            return
        at_s = self._from[1] + Fraction(time.monotonic() - self._from[0])
        if at_s >= self.facts.length_s:
            self.pause()
        if self._asked == self._served:
            self.seek(at_s)

    def settle(self, timeout_s: float = 10.0) -> None:
        """Wait until the frame asked for is there; for pictures and tests without an event loop."""
        until = time.monotonic() + timeout_s
        with self._condition:
            while self._served < self._asked and time.monotonic() < until:
                self._condition.wait(0.05)

    def close(self) -> None:
        """Let go of the file."""
        with self._condition:
            self._stopping = True
            self._condition.notify()
        if self._thread is not None:
            self._thread.join(timeout=5.0)

    def _take(
        self, asked: int, facts: ClipFacts | None, shown: tuple[int, Fraction, QImage] | None, trouble: str
    ) -> None:
        self.is_there = asked == self._asked
        first = self.facts is None and facts is not None
        if facts is not None and str(facts.path) == self._path:
            self.facts = facts
        self.trouble = trouble
        if shown is not None:
            self.index, self.at_s, self.image = shown
        if trouble:
            self.pause()
        if first:
            self.opened.emit()
        self.frame_shown.emit()

    def _run(self) -> None:
        give_way()
        clip: Clip | None = None
        path = ""
        while True:
            with self._condition:
                while self._wish is None and not self._stopping:
                    self._condition.wait()
                if self._stopping:
                    break
                assert self._wish is not None
                (wanted, at_s, size), self._wish = self._wish, None
                asked = self._asked
            try:
                if clip is None or wanted != path:
                    if clip is not None:
                        clip.close()
                    clip, path = None, wanted
                    clip = Clip(wanted)
                shown = clip.frame_at(at_s)
                height, width, _ = shown.pixels.shape
                image = QImage(shown.pixels.data, width, height, 3 * width, QImage.Format.Format_RGB888)
                fitted = image.scaled(
                    size, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
                )
                # A picture of its own: the pixels go with the frame.
                self._arrived.emit(asked, clip.facts, (shown.index, shown.at_s, fitted.copy()), "")
            except ClipError as error:
                self._arrived.emit(asked, None, None, str(error))
            with self._condition:
                self._served = asked
                self._condition.notify_all()
        if clip is not None:
            clip.close()
