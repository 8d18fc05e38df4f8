"""A recorder's clock beside the run's: where it began, and how much faster it runs. Pure.

Two recorders that begin together are half a second apart after two hours at 80 parts per million, which is
what their crystals may differ by; a place that is aligned once is only right near it.
"""

from fractions import Fraction

from showcaller.archive import Recording
from showcaller.review.timeline import NS
from showcaller.values import Struct


class TapeClock(Struct, frozen=True):
    """The run's clock showed ``zero_ns`` at the recording's first frame; the recorder's runs ``drift_ppm``
    parts per million fast (negative: slow)."""

    zero_ns: int
    drift_ppm: float = 0.0

    def file_s(self, t_ns: int) -> Fraction:
        """The instant in the recording, seconds from its first frame, of an instant of the run's clock."""
        return Fraction(t_ns - self.zero_ns, NS) * self._rate

    def run_ns(self, at_s: Fraction | float) -> int:
        """The instant of the run's clock of an instant in the recording."""
        return self.zero_ns + round(Fraction(at_s) * NS / self._rate)

    @property
    def _rate(self) -> Fraction:
        return 1 + Fraction(round(self.drift_ppm * 1000), 10**9)


def clock_of(recording: Recording) -> TapeClock:
    """The clock of a recording that was aligned."""
    return TapeClock(recording.zero_ns, recording.drift_ppm)
