"""A recorder's clock through places found in its recording: least squares, with its uncertainty. Pure."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from showcaller.review.errors import ReviewError
from showcaller.review.tape_clock import TapeClock
from showcaller.review.timeline import NS
from showcaller.values import Struct

Instants = npt.NDArray[np.float64]
MOST_PPM = 300.0
"""Clocks that differ by more than this are not one recording at its own speed (recorders' crystals are within
100 parts per million; common practice, no source)."""
ASTRAY_S = 0.02
"""A place this far from the line through the others is a mistake and does not count (our choice: half
a frame, and more than a hall's echo moves one)."""
LEAST_APART_S = 60.0
"""Places nearer than this say nothing of how fast a clock runs (our choice)."""


class Matched(Struct, frozen=True):
    """The same moment in both: on the run's clock, and seconds into the recording."""

    run_ns: int
    file_s: float


class Fitted(Struct, frozen=True):
    """A clock through matched places: ``error_ppm`` is half of its 95 % interval, None where the places are
    too few or too near to say how fast it runs (it is then taken to run as the run's); ``places`` were used.
    """

    clock: TapeClock
    error_ppm: float | None
    places: int

    @property
    def words(self) -> str:
        """``runs 80.2 ppm fast (± 0.4)``; empty where nothing is known of it."""
        if self.error_ppm is None:
            return ""
        ppm = self.clock.drift_ppm
        return f"runs {abs(ppm):.1f} ppm {'fast' if ppm >= 0 else 'slow'} (± {max(0.1, self.error_ppm):.1f})"


def fitted(matched: Sequence[Matched], resolution_s: float) -> Fitted:
    """The recorder's clock through places that were found in it, by least squares, without places astray.

    Args:
        matched: at least one.
        resolution_s: how exactly a place can be found at best, seconds: one sample of what was compared.

    Raises:
        ReviewError: no places, or no line that a recorder's clock could be goes through them.
    """
    if not matched:
        raise ReviewError("nothing of it was found in the recording; align it by one tap")
    first_ns = matched[0].run_ns
    run_s = np.array([(m.run_ns - first_ns) / NS for m in matched])
    file_s = np.array([m.file_s for m in matched])
    kept = _near_one_line(run_s, file_s)
    run_s, file_s = run_s[kept], file_s[kept]
    apart_s = float(np.ptp(run_s))
    if len(run_s) < 2 or apart_s < LEAST_APART_S:
        zero = first_ns + round((float(run_s[0]) - float(file_s[0])) * NS)
        return Fitted(TapeClock(zero), None, len(run_s))
    middle = run_s.mean()
    slope, at_middle = np.polyfit(run_s - middle, file_s - (run_s - middle), 1)
    ppm = float(slope) * 1e6
    clock_rate = 1 + float(slope)
    zero = first_ns + round((float(middle) - float(at_middle) / clock_rate) * NS)
    if abs(ppm) > MOST_PPM:
        raise ReviewError(
            f"it would run {abs(ppm):.0f} parts per million {'fast' if ppm > 0 else 'slow'}, as no recorder "
            "does; align it by one tap"
        )
    error_ppm = _error_s(run_s - middle, file_s, float(at_middle), clock_rate, resolution_s) * 1e6
    return Fitted(TapeClock(zero, round(ppm, 3)), error_ppm, len(run_s))


def _near_one_line(run_s: Instants, file_s: Instants) -> list[int]:
    """Places of the largest set that one recorder's clock goes through; of equal ones the closest.

    Every pair proposes a line: two places found wrongly agree on none with the rest.
    """
    count = len(run_s)
    offset = file_s - run_s
    best: tuple[int, float, list[int]] = (1, 0.0, [0])
    for i in range(count):
        for j in range(i, count):
            apart = run_s[j] - run_s[i]
            slope = (offset[j] - offset[i]) / apart if abs(apart) >= LEAST_APART_S else 0.0
            if abs(slope) > 2 * MOST_PPM * 1e-6:
                continue
            away = np.abs(offset - offset[i] - slope * (run_s - run_s[i]))
            mine = [int(n) for n in np.flatnonzero(away <= ASTRAY_S)]
            if (len(mine), -float(away[mine].sum())) > (best[0], best[1]):
                best = (len(mine), -float(away[mine].sum()), mine)
    return best[2]


def _error_s(
    run_s: Instants,
    file_s: Instants,
    at_middle: float,
    rate: float,
    resolution_s: float,
) -> float:
    """Half the 95 % interval of the slope: what is left over, and never less than what can be resolved."""
    from scipy.stats import t  # noqa: PLC0415 - brought in when it is asked for

    left = file_s - (at_middle + rate * run_s)
    freedom = len(run_s) - 2
    spread = float(np.sqrt((left**2).sum() / freedom)) if freedom > 0 else 0.0
    sure = float(t.ppf(0.975, freedom)) if freedom > 0 else 0.0
    spread_x = float(np.sqrt((run_s**2).sum()))
    return max(sure * spread, 2 * resolution_s) / spread_x
