"""How far another machine's clock is from this one's. Pure.

Cristian's method (F. Cristian, Probabilistic clock synchronization, 1989): whoever answers says what its
clock showed; the true difference lies within half the round trip of what is found, so of many the shortest
counts. An older one counts with what two quartz clocks may have gone apart since.
"""

from collections import deque

from showcaller.values import Struct

KEPT = 64
DRIFT_PPM = 100.0
"""Two quartz oscillators of ±50 ppm each, in opposite directions."""
GOOD_S = 0.020
"""Countdowns on two machines that agree within this are read as one."""


class Offset(Struct, frozen=True):
    """The other's clock less this one's, in ns, and how far that may be wrong at most (ns)."""

    ns: int
    error_ns: int


class _Trip(Struct, frozen=True):
    sent_ns: int
    there_ns: int
    back_ns: int

    @property
    def half_ns(self) -> int:
        return (self.back_ns - self.sent_ns + 1) // 2

    @property
    def offset_ns(self) -> int:
        return self.there_ns - (self.sent_ns + self.back_ns) // 2


class Trips:
    """The last round trips to one machine."""

    def __init__(self) -> None:
        self._trips: deque[_Trip] = deque(maxlen=KEPT)

    def note(self, sent_ns: int, there_ns: int, back_ns: int) -> None:
        """One has come back: sent and back by this machine's clock, in between by the other's."""
        if back_ns >= sent_ns:
            self._trips.append(_Trip(sent_ns, there_ns, back_ns))

    def best(self, now_ns: int) -> Offset | None:
        """What the best of them says now; None before the first."""
        found = [Offset(t.offset_ns, t.half_ns + _apart_ns(now_ns - t.back_ns)) for t in self._trips]
        return min(found, key=lambda offset: offset.error_ns, default=None)

    def forget(self) -> None:
        """Another machine answers from here on."""
        self._trips.clear()


def _apart_ns(since_ns: int) -> int:
    return round(max(0, since_ns) * DRIFT_PPM / 1e6)


def clock_words(error_ns: int | None) -> str:
    """What is said of it at the desk; empty while it is good."""
    if error_ns is None:
        return "This desk's countdowns are not in step yet: nothing was heard of the other machine's clock"
    if error_ns <= GOOD_S * 1e9:
        return ""
    return (
        f"This desk's countdowns may be {error_ns / 1e6:.0f} ms out: the network is slow. "
        "Call by ear, not by the count"
    )
