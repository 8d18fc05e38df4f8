"""So much in a second and no more. Pure: the time is an argument (s, monotonic)."""

from dataclasses import dataclass


@dataclass
class AskingRate:
    """``per_s`` in the long run, ``burst`` at once."""

    per_s: float
    burst: float
    _left: float = -1.0
    _since_s: float = 0.0

    def take(self, now_s: float) -> bool:
        """Whether one more is allowed now; if so it is taken."""
        if self._left < 0:
            self._left, self._since_s = self.burst, now_s
        self._left = min(self.burst, self._left + (now_s - self._since_s) * self.per_s)
        self._since_s = now_s
        if self._left < 1:
            return False
        self._left -= 1
        return True
