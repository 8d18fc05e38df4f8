"""Luma and luminance by ITU-R BT.709, colours from text."""

import numpy as np

from showcaller.screen.compose.pool import Pixels

BT709 = (0.2126, 0.7152, 0.0722)
"""Weights of red, green and blue (ITU-R BT.709, item 3.2)."""


def bgr(colour: str) -> tuple[int, int, int]:
    """Blue, green, red of ``#RRGGBB``."""
    return int(colour[5:7], 16), int(colour[3:5], 16), int(colour[1:3], 16)


def _linear() -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Each code as linear light, by the sRGB curve (IEC 61966-2-1)."""
    code = np.arange(256) / 255
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


LINEAR = _linear()


def relative_luminance(picture: Pixels) -> float:
    """Mean relative luminance of a picture, 0 (black) to 1 (white), in linear light.

    Counted from the three histograms, so a frame costs no copy.
    """
    if picture.size == 0:
        return 0.0
    total = 0.0
    for channel, weight in zip(range(3), reversed(BT709), strict=True):
        counts = np.bincount(picture[..., channel].ravel(), minlength=256)
        total += weight * float(counts @ LINEAR)
    return total / (picture.size // 3)
