"""Who is at the door just now: a line for each connection of a machine that is let in. Takes time (s) as an
argument."""

from collections import deque
from dataclasses import dataclass, field

GONE_S = 3.0
A_SECOND = 60
"""So many requests of one machine in a second are handed on; a hand on a fader makes 25."""
MOST_LINES = 4
"""Of one machine: its windows come by one."""


@dataclass
class Line:
    """``key`` is the machine's; ``has`` is the number of the last record it says it has."""

    key: str
    last_s: float
    follows: bool = False
    has: int = 0
    desks: set[str] = field(default_factory=set)
    asked_s: deque[float] = field(default_factory=lambda: deque(maxlen=A_SECOND))

    def may_ask(self, now_s: float) -> bool:
        """Whether one more request is handed on now."""
        if len(self.asked_s) == A_SECOND and now_s - self.asked_s[0] < 1.0:
            return False
        self.asked_s.append(now_s)
        return True


class GuestLines:
    """By what tells their connections apart."""

    def __init__(self) -> None:
        self._lines: dict[bytes, Line] = {}

    def heard(self, line: bytes, key: str, now_s: float) -> Line | None:
        """Something has come by a line; None if its machine has too many."""
        found = self._lines.get(line)
        if found is None:
            if sum(1 for one in self._lines.values() if one.key == key) >= MOST_LINES:
                return None
            found = self._lines[line] = Line(key, now_s)
        found.last_s = now_s
        return found

    def following(self) -> list[tuple[bytes, Line]]:
        """Those that are told what happens."""
        return [(line, one) for line, one in self._lines.items() if one.follows]

    def of(self, key: str) -> list[bytes]:
        """The lines of a machine."""
        return [line for line, one in self._lines.items() if one.key == key]

    def state_of(self, key: str) -> Line | None:
        """The line of a machine that was heard last; None while it has none."""
        found = [one for one in self._lines.values() if one.key == key]
        return max(found, key=lambda one: (one.follows, one.last_s), default=None)

    def drop(self, key: str) -> None:
        """A machine is not let in any more."""
        for line in self.of(key):
            del self._lines[line]

    def tidy(self, now_s: float) -> None:
        """Forget those that are gone."""
        for line, one in list(self._lines.items()):
            if now_s - one.last_s > GONE_S:
                del self._lines[line]
