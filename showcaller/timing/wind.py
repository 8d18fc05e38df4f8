"""Wind on a free-standing set piece: an estimate for orientation only.

It is a statics exercise, not engineering: one rigid body on level ground, held by its weight alone, wind
square on its face. The limit that counts is the one in the set piece's own engineer's letter; a licensed
engineer and the local code decide. Gusts around buildings, uplift, guys, ballast that shifts and people on it
are all left out.

Pressure: q = 0.613 V² in N/m² (ASCE 7 §26.10, for air of 1.226 kg/m³). Force: q × drag × area. It overturns
when force × lever arm exceeds weight × half the base.
"""

from dataclasses import dataclass
from math import sqrt

G_M_S2 = 9.80665
"""Standard gravity (ISO 80000-3)."""
PRESSURE = 0.613
"""N/m² per (m/s)²."""
FLAT_DRAG = 1.3
"""Drag of a flat panel square to the wind. From memory: codes give 1.2 to 2.0; a higher one is safer."""
SAFETY = 1.5
"""Factor on overturning. Common practice, no source: the code that applies may ask for more."""
CAUTION = (
    "For orientation only. The limit is the one in the set piece's own engineer's letter; local codes and a "
    "licensed engineer decide. Act well before it: event guides ask for actions at 60 % and 80 % of a limit."
)


@dataclass(frozen=True, slots=True)
class SetPiece:
    """A free-standing piece: face in m², mass in kg, height of the face's centre and depth of the base, m."""

    area_m2: float
    mass_kg: float
    arm_m: float
    base_m: float
    drag: float = FLAT_DRAG

    def __post_init__(self) -> None:
        """Raises ValueError for a value that is not above zero, naming it."""
        for name in ("area_m2", "mass_kg", "arm_m", "base_m", "drag"):
            value = getattr(self, name)
            if not 0 < value < float("inf"):
                raise ValueError(f"{name} is {value}; give a number above zero")


def pressure_n_m2(speed_m_s: float) -> float:
    """Velocity pressure of wind, N/m²."""
    return PRESSURE * speed_m_s * speed_m_s


def overturning_share(piece: SetPiece, speed_m_s: float) -> float:
    """Overturning moment over the moment that holds it, at a speed in m/s; 1 is where it tips."""
    tips = pressure_n_m2(speed_m_s) * piece.drag * piece.area_m2 * piece.arm_m
    holds = piece.mass_kg * G_M_S2 * piece.base_m / 2
    return tips / holds


def estimate_m_s(piece: SetPiece, safety: float = SAFETY) -> float:
    """The gust in m/s at which the overturning moment, times ``safety``, equals what holds it.

    Raises:
        ValueError: a safety factor under 1.
    """
    if safety < 1:
        raise ValueError(f"a safety factor of {safety} takes safety away; give 1 or more")
    return sqrt(1 / (safety * overturning_share(piece, 1.0)))
