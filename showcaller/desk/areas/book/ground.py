"""Where on the strip a second, a lane and a cue are."""

from showcaller.desk.areas.book.stripview import StripView
from showcaller.desk.areas.book.zoom import Window
from showcaller.values import Struct, replace


class Ground(Struct, frozen=True):
    """Where things are, in px of the widget."""

    left: float
    right: float
    top: float
    lanes: float
    lane_step: float
    count: int
    window: Window

    @property
    def bottom(self) -> float:
        """The foot of the last lane."""
        return self.lanes + self.lane_step * self.count

    def x(self, at_s: float) -> float:
        """Where a second is."""
        return self.left + (at_s - self.window.start_s) * (self.right - self.left) / self.window.span_s

    def at_s(self, x: float) -> float:
        """Which second is there."""
        return self.window.start_s + (x - self.left) * self.window.span_s / (self.right - self.left)

    def y(self, lane: int) -> float:
        """The middle of a lane."""
        return self.lanes + self.lane_step * (lane + 0.5)

    def lane(self, y: float) -> int | None:
        """Which lane is there."""
        lane = int((y - self.lanes) // self.lane_step)
        return lane if 0 <= lane < self.count else None

    def showing(self, window: Window) -> "Ground":
        """The same with another stretch in view."""
        return replace(self, window=window)

    def cue_near(self, view: StripView, x: float, y: float, reach_px: float) -> int | None:
        """The cue whose mark is nearest, within reach."""
        lane = self.lane(y)
        near = [(abs(self.x(m.at_s) - x), m.cue) for m in view.marks if m.lane == lane]
        best = min(near, default=(reach_px + 1, -1))
        return best[1] if best[0] <= reach_px else None
