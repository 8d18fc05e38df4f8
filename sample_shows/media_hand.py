"""A hand that writes: letters as strokes of a pen, for the sample's letters only."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Line = npt.NDArray[np.float64]

# Points the pen goes through: x from the letter's left, y up from its foot, in heights of a small letter.
_PEN: dict[str, tuple[float, list[tuple[float, float]]]] = {
    "a": (0.95, [(0.78, 0.82), (0.42, 1.0), (0.1, 0.55), (0.3, 0.02), (0.66, 0.3), (0.8, 0.95), (0.76, 0.25),
                 (0.95, 0.08)]),
    "c": (0.8, [(0.7, 0.8), (0.42, 1.0), (0.12, 0.6), (0.3, 0.02), (0.8, 0.18)]),
    "d": (0.98, [(0.76, 0.8), (0.42, 1.0), (0.1, 0.55), (0.3, 0.02), (0.66, 0.35), (0.9, 2.0), (0.78, 0.3),
                 (0.98, 0.08)]),
    "e": (0.8, [(0.0, 0.2), (0.5, 0.55), (0.58, 0.92), (0.36, 1.0), (0.18, 0.55), (0.34, 0.02), (0.8, 0.2)]),
    "h": (1.0, [(0.0, 0.1), (0.38, 1.4), (0.44, 2.05), (0.26, 1.7), (0.16, 0.0), (0.3, 0.7), (0.56, 1.0),
                (0.7, 0.7), (0.68, 0.15), (1.0, 0.1)]),
    "i": (0.55, [(0.0, 0.2), (0.26, 0.98), (0.22, 0.2), (0.55, 0.1)]),
    "l": (0.6, [(0.0, 0.15), (0.36, 1.2), (0.44, 2.0), (0.28, 1.9), (0.18, 0.4), (0.34, 0.02), (0.6, 0.15)]),
    "m": (1.45, [(0.0, 0.1), (0.2, 0.95), (0.2, 0.0), (0.4, 0.85), (0.58, 0.9), (0.6, 0.0), (0.8, 0.85), (1.02, 0.9),
                 (1.06, 0.15), (1.45, 0.1)]),
    "n": (1.05, [(0.0, 0.1), (0.2, 0.95), (0.2, 0.0), (0.42, 0.85), (0.66, 0.9), (0.7, 0.15), (1.05, 0.1)]),
    "o": (0.85, [(0.6, 0.95), (0.3, 0.95), (0.1, 0.5), (0.32, 0.02), (0.64, 0.4), (0.52, 0.95), (0.85, 0.85)]),
    "r": (0.75, [(0.0, 0.15), (0.22, 1.05), (0.32, 0.9), (0.52, 0.9), (0.46, 0.25), (0.75, 0.1)]),
    "s": (0.75, [(0.0, 0.15), (0.38, 1.08), (0.42, 0.75), (0.56, 0.25), (0.3, 0.0), (0.12, 0.15), (0.75, 0.12)]),
    "t": (0.6, [(0.0, 0.3), (0.3, 1.7), (0.22, 0.2), (0.6, 0.1)]),
    " ": (0.6, []),
}  # fmt: skip
_AFTER: dict[str, list[tuple[float, float]]] = {
    "t": [(0.02, 1.18), (0.56, 1.26)],
    "i": [(0.3, 1.45), (0.34, 1.52)],
}


def written(words: str, x: float, y: float, high: float) -> list[Line]:
    """The pen's strokes in order, px: joined letters, then bars and dots; ``high`` is a small letter's height."""
    strokes: list[Line] = []
    for word in words.split(" "):
        pen: list[tuple[float, float]] = []
        after: list[Line] = []
        for letter in word:
            wide, points = _PEN[letter]
            pen += [(x + px * high, y - py * high) for px, py in points]
            if letter in _AFTER:
                after.append(np.array([(x + px * high, y - py * high) for px, py in _AFTER[letter]]))
            x += wide * high
        strokes += [_smooth(np.array(pen)), *after]
        x += _PEN[" "][0] * high
    return strokes


def _smooth(points: Line) -> Line:
    """A curve through the points (Catmull–Rom)."""
    p = np.concatenate([points[:1], points, points[-1:]])
    t = np.linspace(0, 1, 10, endpoint=False)[:, None]
    a, b, c, d = p[:-3, None], p[1:-2, None], p[2:-1, None], p[3:, None]
    curve = 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
    return np.concatenate([curve.reshape(-1, 2), points[-1:]])
