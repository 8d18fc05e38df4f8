"""A source's grade drawn: black, white and gamma by a table, saturation around BT.709 luma."""

from functools import lru_cache
from typing import Any

import cv2
import numpy as np

from showcaller.model.media import Grade
from showcaller.screen.compose.pool import Pixels

_LUMA_BGR = np.array([0.0722, 0.7152, 0.2126], np.float32)
"""Of ITU-R BT.709, for blue, green and red."""


def graded(pixels: Pixels, grade: Grade, into: Pixels | None = None) -> Pixels:
    """The picture (blue, green, red) with its colours set; ``into`` is used again if it has the size."""
    if into is None or into.shape != pixels.shape:
        into = np.empty_like(pixels)
    table, mix = _prepared(grade)
    cv2.LUT(pixels, table, into)
    if mix is not None:
        cv2.transform(into, mix, into)
    return into


@lru_cache(maxsize=64)
def _prepared(grade: Grade) -> tuple[Pixels, Any]:
    value = np.arange(256, dtype=np.float64) / 255
    level = np.clip((value - grade.black) / (grade.white - grade.black), 0, 1)
    table = np.round(level ** (1 / grade.gamma) * 255).astype(np.uint8)
    if grade.saturation == 1:
        return table, None
    grey = np.tile(_LUMA_BGR, (3, 1))
    return table, grey + (np.eye(3, dtype=np.float32) - grey) * np.float32(grade.saturation)
