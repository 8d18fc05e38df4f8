"""How much a remote may ask and how much is written about what it sends. Pure: time comes as an argument."""

from dataclasses import dataclass, field
from math import inf

BURST = 60
PER_S = 20
"""So many asks at once, and so many a second: far above any hand, far below what would fill a log."""

PACKETS_BURST = 400
PACKETS_PER_S = 200
"""So many packets are read at all: reading costs time that the engine's own thread would have."""

QUIET_NS = 10_000_000_000
"""After a sentence of one sort from one place, others of that sort are counted for so long."""


@dataclass(slots=True)
class Allowance:
    """Asks from one place: a bucket that fills at ``per_s`` up to ``burst``."""

    burst: int = BURST
    per_s: int = PER_S
    left: float = inf
    at_ns: int = 0

    def has(self, now_ns: int) -> float:
        """How many more are allowed."""
        self.left = min(self.burst, self.left + (now_ns - self.at_ns) / 1e9 * self.per_s)
        self.at_ns = now_ns
        return self.left

    def take(self, now_ns: int) -> bool:
        """Whether one more is allowed."""
        if self.has(now_ns) < 1:
            return False
        self.left -= 1
        return True


@dataclass(slots=True)
class Complaints:
    """Sentences about what came to nothing: the first ``grace`` of a sort, then a count."""

    grace: int = 1
    _since: dict[tuple[str, str], tuple[int, int]] = field(default_factory=dict)

    def about(self, source: str, kind: str, sentence: str, now_ns: int) -> str | None:
        """The sentence to write, or None while it is only counted."""
        key = (source, kind)
        since_ns, count = self._since.get(key, (now_ns - QUIET_NS, 0))
        if now_ns - since_ns < QUIET_NS:
            self._since[key] = (since_ns, count + 1)
            return sentence if count < self.grace else None
        self._since[key] = (now_ns, 1)
        left_out = count - self.grace
        return f"{sentence}; {left_out} more like it were ignored" if left_out > 0 else sentence

    def overdue(self, now_ns: int) -> list[tuple[str, str]]:
        """(source, sentence) for what was counted and then ended."""
        found = []
        for (source, kind), (since_ns, count) in list(self._since.items()):
            if now_ns - since_ns >= QUIET_NS:
                del self._since[source, kind]
                if count > self.grace:
                    found.append((source, f"{count - self.grace} more like it were ignored: {kind}"))
        return found
