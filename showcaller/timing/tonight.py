"""What tonight has shown so far about what is left of it: are items running over, and how scattered are they?

Every item's departure from its expected length is taken as tonight's common share of that length, β, and
its own scatter, τ times the spread it was given:  dᵢ = β mᵢ + τ sᵢ εᵢ.  β has a normal prior around 0 and
τ² an inverse-gamma one around 1, so that after few items little is believed, and after many the night
itself: the conjugate update of a linear model with known relative weights (Gelman et al., Bayesian Data
Analysis, 3rd ed., section 14.2 and its appendix A; from memory). A departure of more than
:data:`CLIPPED_SD` spreads counts as so much: one stop for an accident is not the pace of the night
(Huber's winsorising).
"""

from collections.abc import Sequence
from math import inf

from showcaller.timing.durations import Duration
from showcaller.values import Struct

BIAS_SD = 0.03
"""Standard deviation of β before anything is known: a night is a few per cent long or short (common
practice, no source)."""
SPREAD_WORTH = 2.5
"""The planned spreads count as so many observations (the inverse-gamma's shape; common practice, no
source)."""
CLIPPED_SD = 3.0
MODEL_SD = 0.018
"""What no night before it can teach about the rest of this one, as a share of its length (common practice, no
source; with it nine in ten hold in the simulated nights of the benchmarks)."""


class Tonight(Struct, frozen=True):
    """``bias`` is the share by which items run over (0.04: 4 %), ``bias_sd`` how unsure that is,
    ``spread`` what planned standard deviations are to be multiplied by."""

    bias: float
    bias_sd: float
    spread: float


def tonight_of(done: Sequence[tuple[Duration, float]]) -> Tonight:
    """What the items that are over say: (what was expected, how long it was in s) of each."""
    precision, weighted, squares, count = 1 / BIAS_SD**2, 0.0, 0.0, 0
    for expected, actual_s in done:
        sd = expected.sd_s
        if sd <= 0 or expected.mean_s <= 0:
            continue
        # A surprise is as large as the item's spread and the night's own bias together would let it be.
        reach = CLIPPED_SD * (sd**2 + (BIAS_SD * expected.mean_s) ** 2) ** 0.5
        apart = max(-reach, min(reach, actual_s - expected.mean_s))
        precision += (expected.mean_s / sd) ** 2
        weighted += expected.mean_s * apart / sd**2
        squares += (apart / sd) ** 2
        count += 1
    bias = weighted / precision
    left_over = max(0.0, squares - bias * bias * precision)
    variance = (2 * SPREAD_WORTH + left_over) / (2 * SPREAD_WORTH + count - 2)  # the inverse-gamma's mean
    return Tonight(bias, (variance / precision) ** 0.5, variance**0.5)


def adjusted(tonight: Tonight, duration: Duration) -> Duration:
    """What is expected of an item that has not begun, or of what is left of one."""
    mean = duration.mean_s * (1 + tonight.bias)
    sd = duration.sd_s * tonight.spread
    return Duration(mean, sd) if sd > 0 else Duration(mean, 0.0, mean, mean)


def in_common(tonight: Tonight, left: Sequence[Duration]) -> Duration:
    """What all that is left shares: nobody knows the night's bias exactly, and it falls on everything at
    once."""
    sd = (tonight.bias_sd**2 + MODEL_SD**2) ** 0.5 * sum(d.mean_s for d in left)
    return Duration(0.0, sd, -inf, inf)
