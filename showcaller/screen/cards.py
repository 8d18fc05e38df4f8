"""Moving test cards that name themselves: they stand in for a camera that is not there, or a lost file."""

import unicodedata
import zlib
from math import sin

import cv2
import numpy as np

from showcaller.model import Source
from showcaller.screen.compose.pool import Pixels

_SATURATION, _VALUES = 140, (96, 118, 140)
"""Of a card's ground, out of 255: halfway down a name is read on all (4.5 : 1, WCAG 2.2, 1.4.3)."""
WIDEST_PX = 960


class Card:
    """A source's card. ``why`` is why it is shown: a line under the name."""

    def __init__(self, source: Source, why: str = "") -> None:
        shape = source.width_px * source.pixel_aspect / source.height_px
        width = min(WIDEST_PX, source.width_px)
        height = max(32, min(WIDEST_PX, round(width / shape)))
        self._base = _base(source, width, height, why)
        self._now = self._base.copy()

    def at(self, since_s: float) -> Pixels:
        """The card after so many seconds: a bar crosses it in four, a clock counts. Holds until the next."""
        height, width = self._base.shape[:2]
        now = self._now
        np.copyto(now, self._base)
        x = int((since_s / 4 % 1) * width)
        bar = max(2, width // 120)
        now[:, x : x + bar] = 235
        y = int(height * (0.5 + 0.36 * sin(since_s * 1.7)))
        cv2.circle(now, (width - height // 8, y), max(3, height // 24), (235, 235, 235), -1, cv2.LINE_AA)
        words = f"{int(since_s // 60)}:{since_s % 60:05.2f}"
        scale = height / 520
        thick = max(1, round(scale * 2))
        at = (width // 24, height - height // 14)
        cv2.putText(now, words, at, cv2.FONT_HERSHEY_SIMPLEX, scale, (235, 235, 235), thick, cv2.LINE_AA)
        return now


def _base(source: Source, width: int, height: int, why: str) -> Pixels:
    ground = _ground(source).astype(np.float32)
    fall = np.linspace(1.0, 0.45, height, dtype=np.float32)[:, None, None]
    made = np.broadcast_to(ground * fall, (height, width, 3)).astype(np.uint8).copy()
    step = max(8, height // 9)
    made[::step] = (made[::step] * 0.72).astype(np.uint8)
    made[:, ::step] = (made[:, ::step] * 0.72).astype(np.uint8)
    cv2.rectangle(made, (1, 1), (width - 2, height - 2), (200, 200, 200), max(1, height // 200))
    cv2.circle(
        made, (width // 2, height // 2), height * 2 // 5, (150, 150, 150), max(1, height // 200), cv2.LINE_AA
    )
    lines = [_plain(source.name), source.kind if not why else _plain(why)]
    for n, words in enumerate(lines):
        size = _fitting(words, width * 0.82, height / (340 if n == 0 else 700))
        thick = max(1, round(size * 2.4))
        (wide, high), _ = cv2.getTextSize(words, cv2.FONT_HERSHEY_DUPLEX, size, thick)
        at = ((width - wide) // 2, height // 2 + (high // 2 if n == 0 else height // 7))
        cv2.putText(made, words, at, cv2.FONT_HERSHEY_DUPLEX, size, (245, 245, 245), thick, cv2.LINE_AA)
    return made


def _ground(source: Source) -> Pixels:
    """Blue, green, red of a card: two cameras side by side must not look like one."""
    own = zlib.crc32(source.id.encode())
    shade = [[[own % 180, _SATURATION, _VALUES[own // 180 % len(_VALUES)]]]]
    ground: Pixels = cv2.cvtColor(np.array(shade, np.uint8), cv2.COLOR_HSV2BGR)[0, 0]
    return ground


def _fitting(words: str, room: float, wanted: float) -> float:
    wide = cv2.getTextSize(words, cv2.FONT_HERSHEY_DUPLEX, 1.0, 2)[0][0]
    return min(wanted, room / max(1, wide))


def _plain(words: str) -> str:
    """The card's letters have no accents."""
    return unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode() or "?"
