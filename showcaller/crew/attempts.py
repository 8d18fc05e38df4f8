"""Wrong PINs cost time, per address and in all. Pure: the time is an argument (s, monotonic)."""

from dataclasses import dataclass, field

FREE = 3
"""So many wrong ones an address may type before it has to wait."""
LONGEST_WAIT_S = 300.0
FORGET_AFTER_S = 3600.0
ALL_FREE = 40
"""So many wrong ones in all, from anywhere, before everybody who wants in waits;"""
ALL_EVERY_S = 5.0
"""and one of them is forgiven in so many seconds. Whoever is in already is not touched."""
MOST_ADDRESSES = 2000


@dataclass
class _Address:
    wrong: int = 0
    last_s: float = 0.0


@dataclass
class WrongTries:
    """Counts wrong ones; ``wait_s`` says how long an address has to wait before it may try again."""

    _by_address: dict[str, _Address] = field(default_factory=dict)
    _all: float = 0.0
    _all_s: float = 0.0

    def wait_s(self, address: str, now_s: float) -> float:
        """Seconds until the next try from there counts; 0 if it does now."""
        waits = 0.0
        found = self._by_address.get(address)
        if found is not None and found.wrong >= FREE:
            pause_s = min(2.0 ** (found.wrong - FREE), LONGEST_WAIT_S)
            waits = found.last_s + pause_s - now_s
        over = self._level(now_s) - ALL_FREE
        return max(0.0, waits, (over + 1) * ALL_EVERY_S if over >= 0 else 0.0)

    def wrong(self, address: str, now_s: float, in_all: bool = True) -> None:
        """A wrong one came from there; without a link that lets in it does not count ``in_all``, or anybody
        could keep the crew out."""
        if in_all:
            self._all, self._all_s = self._level(now_s) + 1, now_s
        if address not in self._by_address and len(self._by_address) >= MOST_ADDRESSES:
            self._forget(now_s)
        found = self._by_address.setdefault(address, _Address())
        if now_s - found.last_s > FORGET_AFTER_S:
            found.wrong = 0
        found.wrong, found.last_s = found.wrong + 1, now_s

    def right(self, address: str) -> None:
        """Somebody got in from there."""
        self._by_address.pop(address, None)

    def _level(self, now_s: float) -> float:
        return max(0.0, self._all - (now_s - self._all_s) / ALL_EVERY_S)

    def _forget(self, now_s: float) -> None:
        """Room for others: what is old goes, and if nothing is, the one that tried longest ago."""
        old = [a for a, f in self._by_address.items() if now_s - f.last_s > FORGET_AFTER_S]
        for address in old or [min(self._by_address, key=lambda a: self._by_address[a].last_s)]:
            del self._by_address[address]
