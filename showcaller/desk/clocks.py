"""The clocks for a second screen: opened, closed, and put where they stood."""

from collections.abc import Callable

from showcaller.desk.bigclock import BigClock
from showcaller.desk.layout import Layout
from showcaller.desk.qt import QKeyEvent


class Clocks:
    """``window`` is the window of clocks while it is open."""

    def __init__(self, layout: Layout | None, hand_on: Callable[[QKeyEvent], None]) -> None:
        """``hand_on`` takes the keys that are pressed while this window has the keyboard."""
        self._layout, self._hand_on = layout, hand_on
        self.window: BigClock | None = None

    def toggle(self) -> None:
        """Open them, or close them."""
        if self.window is not None:
            self.close()
            return
        self.window = BigClock()
        self.window.closed.connect(self._closed)
        self.window.pressed.connect(self._hand_on)
        self.window.released.connect(self._hand_on)
        if self._layout is not None:
            self._layout.restore("clock", self.window)
        self.window.show()

    def close(self) -> None:
        """Close them."""
        if self.window is not None:
            self.window.close()

    def _closed(self) -> None:
        if self.window is not None and self._layout is not None:
            self._layout.keep("clock", self.window)
        self.window = None
