"""The distribution of a sum of independent lengths, by convolution on a grid.

Exact but for the grid: each length's probability is put into cells a :data:`CELLS_PER_SD`-th of the sum's
standard deviation wide (each cell's own probability, from the incomplete beta function), and the cells are
convolved by multiplying their discrete Fourier transforms. Seconds are floats here.
"""

from collections.abc import Sequence
from math import ceil

import numpy as np
import numpy.typing as npt

from showcaller.timing.durations import Duration
from showcaller.values import Struct

CELLS_PER_SD = 40
_REACH_SD = 12
"""The grid reaches so many standard deviations either way of the mean; what lies beyond comes in again at the
other end, and is less than a thousandth for any beta with one top."""

Cells = npt.NDArray[np.float64]


class Summed(Struct, frozen=True):
    """Probability of the sum ending below each of ``edges_s`` (rising), shape (cells + 1,) both."""

    edges_s: Cells
    below: Cells

    def probability_by(self, at_s: float) -> float:
        """That the sum is at most ``at_s``; 0 to 1."""
        return float(np.interp(at_s, self.edges_s, self.below))

    def quantile(self, p: float) -> float:
        """Seconds that the sum stays below with probability ``p``, in (0, 1)."""
        return float(np.interp(p, self.below, self.edges_s))


def summed(durations: Sequence[Duration]) -> Summed:
    """The distribution of the sum of these.

    Raises:
        ValueError: none of them has any spread, so that there is no grid.
    """
    spread = [d for d in durations if d.sd_s > 0]
    fixed_s = sum(d.mean_s for d in durations if d.sd_s == 0)
    sd = sum(d.sd_s**2 for d in spread) ** 0.5
    if sd == 0:
        raise ValueError("lengths without spread have no distribution; add them up")
    step = sd / CELLS_PER_SD
    count = 1 << (2 * _REACH_SD * CELLS_PER_SD - 1).bit_length()
    product: npt.NDArray[np.complex128] = np.ones(count // 2 + 1, np.complex128)
    start_s, mean_s = fixed_s, fixed_s
    for duration in spread:
        low_s, cells = _cells(duration, step)
        folded = np.bincount(np.arange(len(cells)) % count, cells, count)
        product *= np.fft.rfft(folded)
        # The cells keep the length's mean exactly, however few they are; a cell stands for its middle.
        shift_s = duration.mean_s - low_s - step * float(np.dot(cells, np.arange(len(cells)) + 0.5))
        start_s += low_s + step / 2 + shift_s
        mean_s += duration.mean_s
    mass = np.maximum(np.fft.irfft(product, count), 0.0)
    # The grid is a ring: turn it so that it begins as far below the mean as it ends above.
    first = round((mean_s - start_s) / step) - count // 2
    mass = np.roll(mass, -(first % count))
    edges = start_s + step * (first + np.arange(count + 1) - 0.5)
    below = np.concatenate([[0.0], np.cumsum(mass)])
    below /= below[-1]
    return Summed(edges, below)


def _cells(duration: Duration, step: float) -> tuple[float, Cells]:
    """Where a length's first cell begins, and the probability in each."""
    from scipy import special  # noqa: PLC0415 - a tenth of a second, not before the window opens

    if not duration.bounded:
        low = duration.mean_s - 8 * duration.sd_s
        edges = low + step * np.arange(ceil(16 * duration.sd_s / step) + 1)
        below = special.ndtr((edges - duration.mean_s) / duration.sd_s)
    else:
        a, b = duration.shape()
        span = duration.high_s - duration.low_s
        low = duration.low_s
        parts = np.minimum(1.0, step / span * np.arange(ceil(span / step) + 1))
        below = special.betainc(a, b, parts)
    return low, np.diff(below)
