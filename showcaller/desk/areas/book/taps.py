"""A tempo or a length tapped on any letter: the instants of the taps."""

import time
from collections.abc import Callable
from fractions import Fraction

from showcaller.timing.tap import tap_tempo


class Taps:
    """Instants of taps, heard through the letters typed into a prompt."""

    def __init__(self, now_s: Callable[[], float] = time.monotonic) -> None:
        self._now_s = now_s
        self._count = 0
        self.taps_s: list[Fraction] = []

    def typed(self, text: str) -> None:
        """The prompt's text changed; one more letter is one more tap."""
        if len(text) > self._count:
            self.taps_s.append(Fraction(round(self._now_s() * 1_000_000), 1_000_000))
        self._count = len(text)

    def tempo(self) -> float | None:
        """Beats a minute so far."""
        return float(round(tap_tempo(self.taps_s).bpm, 1)) if len(self.taps_s) > 1 else None

    def length_s(self) -> Fraction | None:
        """From the first tap to the last."""
        return self.taps_s[-1] - self.taps_s[0] if len(self.taps_s) > 1 else None
