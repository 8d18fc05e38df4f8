"""Which stretch of the item the strip shows: all of it, or a part that is zoomed to and moved."""

from showcaller.desk.qt import QObject, Signal
from showcaller.values import Struct, replace

SHORTEST_S = 2.0
"""The shortest stretch that can be zoomed to."""


class Window(Struct, frozen=True):
    """The stretch of the item that is in view."""

    start_s: float
    span_s: float

    def zoomed(self, factor: float, about_s: float, length_s: float) -> "Window":
        """Closer (factor above 1) or further, with ``about_s`` staying where it is."""
        span_s = min(length_s, max(SHORTEST_S, self.span_s / factor))
        start_s = about_s - (about_s - self.start_s) * span_s / self.span_s
        return Window(start_s, span_s).inside(length_s)

    def moved(self, by_s: float, length_s: float) -> "Window":
        """Further along."""
        return replace(self, start_s=self.start_s + by_s).inside(length_s)

    def showing(self, at_s: float, length_s: float) -> "Window":
        """Moved just so far that ``at_s`` is in view, with some room around it."""
        room = self.span_s * 0.08
        if at_s < self.start_s + room:
            return self.moved(at_s - self.start_s - room, length_s)
        if at_s > self.start_s + self.span_s - room:
            return self.moved(at_s - self.start_s - self.span_s + room, length_s)
        return self

    def inside(self, length_s: float) -> "Window":
        """Kept within the item."""
        span_s = min(self.span_s, length_s)
        return Window(min(max(0.0, self.start_s), length_s - span_s), span_s)


class Zoom(QObject):
    """``window`` is the stretch in view, None where that is the whole item; ``length_s`` is the item's."""

    changed = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.window: Window | None = None
        self.length_s = 1.0

    @property
    def now(self) -> Window:
        """The stretch in view."""
        return self.window or Window(0.0, self.length_s)

    def fit(self, length_s: float) -> None:
        """The item is so long now."""
        self.length_s = length_s
        if self.window is not None:
            self.window = self.window.inside(length_s)

    def closer(self, factor: float, about_s: float) -> None:
        """Closer (above 1) or further, about a second of the item."""
        window = self.now.zoomed(factor, about_s, self.length_s)
        self._take(None if window.span_s >= self.length_s else window)

    def scroll(self, by_s: float) -> None:
        """Along the item, where not all of it is in view."""
        if self.window is not None:
            self._take(self.window.moved(by_s, self.length_s))

    def show(self, at_s: float) -> None:
        """Bring a second into view."""
        if self.window is not None:
            self._take(self.window.showing(at_s, self.length_s))

    def whole(self) -> None:
        """The whole item."""
        self._take(None)

    def _take(self, window: Window | None) -> None:
        self.window = window
        self.changed.emit()
