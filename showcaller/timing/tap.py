"""Tempo from taps, forgiving a tap missed or doubled."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from statistics import median

from showcaller.values import Struct


class TapTempo(Struct, frozen=True):
    """A tapped tempo: ``bpm`` beats a minute to the thousandth; ``beat_s`` when the last beat fell.

    ``confidence`` is from 0 to 1: the share of taps that were used, times 1 − 4 × (rms distance of these from
    their beats) / beat, so that a scatter of a quarter of a beat leaves none. Common practice, no source.
    """

    bpm: Fraction
    beat_s: Fraction
    confidence: float


def tap_tempo(taps_s: Sequence[Fraction]) -> TapTempo:
    """The steady tempo that fits the taps best, in the sense of least squares.

    The median interval is a first guess at the beat, which a few missed or doubled taps do not move. With it
    every tap is numbered by the beats since the one before; a tap within half a beat of the last is a bounce
    and left out. The line through (number, instant) gives the beat, and is taken once more with that beat.

    Raises:
        ValueError: fewer than two taps, or taps that are not in order of time.
    """
    if len(taps_s) < 2:
        raise ValueError(f"{len(taps_s)} taps give no tempo; tap at least twice")
    gaps = [b - a for a, b in pairwise(taps_s)]
    if min(gaps) <= 0:
        raise ValueError("taps are not in order of time; give each later than the one before")
    beat, first = median(gaps), taps_s[0]
    used: list[tuple[int, Fraction]] = []
    for _ in range(2):
        used = _numbered(taps_s, beat)
        beat, first = _line(used) if len(used) > 1 else (beat, taps_s[0])
    errors = [float(at - first - n * beat) for n, at in used]
    rms = (sum(error * error for error in errors) / len(errors)) ** 0.5
    confidence = max(0.0, 1 - 4 * rms / float(beat)) * len(used) / len(taps_s)
    return TapTempo(Fraction(round(60_000 / beat), 1000), first + used[-1][0] * beat, confidence)


def _numbered(taps_s: Sequence[Fraction], beat: Fraction) -> list[tuple[int, Fraction]]:
    """(beats since the first tap, instant) of every tap but the bounces."""
    used = [(0, taps_s[0])]
    for tap in taps_s[1:]:
        number, last = used[-1]
        gap = tap - last
        if 2 * gap >= beat:
            used.append((number + max(1, round(gap / beat)), tap))
    return used


def _line(points: list[tuple[int, Fraction]]) -> tuple[Fraction, Fraction]:
    """(slope, value at 0) of the least-squares line, exact."""
    count = len(points)
    mean_n = Fraction(sum(n for n, _ in points), count)
    mean_at = sum((at for _, at in points), Fraction(0)) / count
    spread = sum(((n - mean_n) ** 2 for n, _ in points), Fraction(0))
    slope = sum(((n - mean_n) * (at - mean_at) for n, at in points), Fraction(0)) / spread
    return slope, mean_at - slope * mean_n
