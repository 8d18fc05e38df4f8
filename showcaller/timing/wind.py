"""Wind on a free-standing set piece: an estimate for orientation only.

It is a statics exercise, not engineering: one rigid body on level ground, held by its weight alone, wind
square on its face. The limit that counts is the one in the set piece's own engineer's letter; a licensed
engineer and the local code decide. Gusts around buildings, uplift, guys, ballast that shifts and people on it
are all left out.

Pressure: q = 0.613 Kz Kd V² in N/m² (ASCE 7 §26.10, for air of 1.226 kg/m³), where Kz is the exposure at the
piece's height and Kd the directionality; in the standard's other units 0.00256 Kz Kd V² lb/ft², V in mph. Its
topographic and elevation factors are taken as 1. Force: q × drag × area. It overturns
when force × lever arm exceeds weight × half the base.
"""

import re
from math import inf, sqrt

from showcaller.values import Struct

G_M_S2 = 9.80665
"""Standard gravity (ISO 80000-3)."""
PRESSURE = 0.613
"""N/m² per (m/s)²."""
PRESSURE_MPH = 0.00256
"""lb/ft² per mph²."""
FLAT_DRAG = 1.3
"""Drag of a flat panel square to the wind. From memory: codes give 1.2 to 2.0; a higher one is safer."""
SAFETY = 1.5
"""Factor on overturning. Common practice, no source: the code that applies may ask for more."""
CAUTION = (
    "For orientation only. The limit is the one in the set piece's own engineer's letter; local codes and a "
    "licensed engineer decide. Act well before it: event guides ask for actions at 60 % and 80 % of a limit."
)


class SetPiece(Struct, frozen=True):
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


class Factors(Struct, frozen=True):
    """Kz, exposure (0.5 to 2.5), and Kd, directionality (0.5 to 1), of ASCE 7; 1 takes nothing off."""

    exposure: float = 1.0
    directionality: float = 1.0

    def __post_init__(self) -> None:
        """Raises ValueError for a value that the standard has nowhere near, naming it."""
        for name, most in (("exposure", 2.5), ("directionality", 1.0)):
            value = getattr(self, name)
            if not 0.5 <= value <= most:
                raise ValueError(f"{name} is {value:g}; give a factor from 0.5 to {most:g}")

    @property
    def both(self) -> float:
        """Their product."""
        return self.exposure * self.directionality


PLAIN = Factors()
_SPEED = re.compile(r"(\d+(?:\.\d+)?)\s*(m/s|km/h|mph|kn|kt)?")
_UNITS_M_S = {"m/s": 1.0, "km/h": 1 / 3.6, "mph": 0.44704, "kn": 1852 / 3600, "kt": 1852 / 3600}
"""Metres a second in each unit; mile and nautical mile by their definitions."""


def parse_speed_m_s(text: str) -> float:
    """A wind speed in m/s from ``20``, ``20 m/s``, ``72 km/h``, ``115 mph`` or ``40 kn``.

    Raises:
        ValueError: no such speed, or none that the wind has.
    """
    found = _SPEED.fullmatch(text.strip().lower())
    speed = float(found.group(1)) * _UNITS_M_S[found.group(2) or "m/s"] if found else 0.0
    if not 0 < speed <= 150:
        raise ValueError(f"speed is '{text}'; give one above zero such as 20, 115 mph, 72 km/h or 40 kn")
    return speed


def pressure_n_m2(speed_m_s: float, factors: Factors = PLAIN) -> float:
    """Velocity pressure of wind, N/m²."""
    return PRESSURE * factors.both * speed_m_s * speed_m_s


def pressure_psf(speed_m_s: float, factors: Factors = PLAIN) -> float:
    """Velocity pressure of wind, lb/ft², by the constant that the standard has for mph."""
    return PRESSURE_MPH * factors.both * (speed_m_s / _UNITS_M_S["mph"]) ** 2


def overturning_share(piece: SetPiece, speed_m_s: float, factors: Factors = PLAIN) -> float:
    """Overturning moment over the moment that holds it, at a speed in m/s; 1 is where it tips."""
    tips = pressure_n_m2(speed_m_s, factors) * piece.drag * piece.area_m2 * piece.arm_m
    holds = piece.mass_kg * G_M_S2 * piece.base_m / 2
    return tips / holds


def estimate_m_s(piece: SetPiece, safety: float = SAFETY, factors: Factors = PLAIN) -> float:
    """The gust in m/s at which the overturning moment, times ``safety``, equals what holds it.

    Raises:
        ValueError: a safety factor under 1, or one that is no number.
    """
    if not safety < inf:
        raise ValueError(f"safety is {safety}, which is no number; give 1 or more")
    if safety < 1:
        raise ValueError(f"a safety factor of {safety} takes safety away; give 1 or more")
    return sqrt(1 / (safety * overturning_share(piece, 1.0, factors)))
