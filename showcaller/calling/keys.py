"""The guard that keeps one press one go, and asks for some keys twice. No Qt."""

from dataclasses import dataclass

PRESS_GAP_S = 0.4
"""Two presses of go nearer than this are one (common practice, no source)."""

TWICE_AFTER_S = 0.08
"""Nearer than this two presses are one finger's tremble; a quick double press is about 0.15 s (common
practice, no source)."""
TWICE_WITHIN_S = 3.0
"""A key that must be pressed twice forgets the first press after this long."""


@dataclass
class Guard:
    """Lets one press be one go, and asks for some keys twice."""

    last_go_s: float = -1e9
    last_say_s: float = -1e9
    armed: tuple[str, str] | None = None
    armed_s: float = -1e9

    def go(self, repeated: bool, now_s: float) -> bool:
        """Whether a press of go at ``now_s`` counts; a key held down never does."""
        if repeated:
            return False
        # A press during the gap opens it anew, so that a trembling hand cannot wait it out.
        counts = now_s - self.last_go_s >= PRESS_GAP_S
        self.last_go_s = now_s
        return counts

    def say(self, repeated: bool, now_s: float) -> bool:
        """Whether a press of standby at ``now_s`` counts; two presses near each other are one line said."""
        if repeated:
            return False
        counts = now_s - self.last_say_s >= PRESS_GAP_S
        self.last_say_s = now_s
        return counts

    def twice(self, action: str, about: str, repeated: bool, now_s: float) -> bool:
        """Whether this is the second deliberate press of ``action`` for the same thing."""
        if repeated:
            return False
        second = self.armed == (action, about) and TWICE_AFTER_S <= now_s - self.armed_s <= TWICE_WITHIN_S
        self.armed, self.armed_s = (None, -1e9) if second else ((action, about), now_s)
        return second

    def forget(self) -> None:
        """Drop a first press that waits for its second."""
        self.armed = None
