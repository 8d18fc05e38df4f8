"""Press and release: what of a stream of values is somebody pressing once more. Pure."""

MOVING_NS = 1_000_000_000
"""Another value of the same control within so long of the last is the same press still moving: a pedal on its
way down, a fader. (Common practice, no source.)"""


class Presses:
    """Which values of a control are presses; one for every remote.

    Zero or below is a release and never acts. The *same* value once more counts as a press, since a release
    can be lost on the way and some buttons never send one; two asks for a go within 0.4 s are one anyway
    (``gate.py``).
    """

    def __init__(self) -> None:
        self._last: dict[object, tuple[float, int]] = {}

    def is_press(self, control: object, value: float | None, at_ns: int) -> bool:
        """Whether this value is a press; without a value it is. ``at_ns`` is monotonic."""
        if value is None:
            self._last.pop(control, None)
            return True
        before = self._last.pop(control, None)
        if value <= 0:
            return False
        self._last[control] = (value, at_ns)
        while len(self._last) > 64:  # controls that somebody makes up
            del self._last[next(iter(self._last))]
        moving = before is not None and before[0] != value and at_ns - before[1] < MOVING_NS
        return not moving
