"""What the sample's moving pictures are drawn with. A loop's ``at`` runs from 0 to 1; at 1 it is where it began."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import cv2
import numpy as np
import numpy.typing as npt

Picture = npt.NDArray[np.uint8]
Colour = tuple[int, int, int]
"""Red, green, blue."""
TURN = 2 * np.pi


def ground(width: int, height: int, top: Colour, bottom: Colour) -> Picture:
    """A picture shaded from top to bottom, dithered so that it shows no steps on a wall."""
    return _ground(width, height, top, bottom).copy()


@lru_cache(maxsize=32)
def _ground(width: int, height: int, top: Colour, bottom: Colour) -> Picture:
    down = np.linspace(0, 1, height, dtype=np.float32)[:, None, None]
    shade = np.array(top, np.float32) * (1 - down) + np.array(bottom, np.float32) * down
    grain = np.random.default_rng(1).random((height, width, 1), dtype=np.float32)
    return (shade + grain).clip(0, 255).astype(np.uint8)


def shape(picture: Picture, points: Any, colour: Colour, fine: int = 4) -> None:
    """Fill a shape whose corners are (x, y) in px, to a sixteenth of a pixel."""
    corners = np.round(np.asarray(points, np.float64) * (1 << fine)).astype(np.int32)
    cv2.fillPoly(picture, [corners], colour, cv2.LINE_AA, fine)


def stroke(picture: Picture, points: Any, colour: Colour, thick: float, fine: int = 4) -> None:
    """Draw a line through (x, y) in px."""
    corners = np.round(np.asarray(points, np.float64) * (1 << fine)).astype(np.int32)
    cv2.polylines(picture, [corners], False, colour, max(1, round(thick)), cv2.LINE_AA, fine)


def disc(
    picture: Picture, x: float, y: float, across: float, colour: Colour, high: float | None = None
) -> None:
    """Fill an ellipse around (x, y) so many px across (and high)."""
    turned = np.linspace(0, TURN, 64, endpoint=False)
    wide, tall = across / 2, (high or across) / 2
    shape(picture, np.stack([x + wide * np.cos(turned), y + tall * np.sin(turned)], -1), colour)


def glow(picture: Picture, x: float, y: float, across: float, colour: Colour, strength: float = 1.0) -> None:
    """Add light that falls off around (x, y)."""
    half = int(across / 2)
    if half < 2:
        return
    light = _glow(half)
    x0, y0 = int(x) - half, int(y) - half
    left, top = max(0, x0), max(0, y0)
    right, bottom = min(picture.shape[1], x0 + 2 * half), min(picture.shape[0], y0 + 2 * half)
    if left >= right or top >= bottom:
        return
    part = picture[top:bottom, left:right]
    add = light[top - y0 : bottom - y0, left - x0 : right - x0, None] * np.array(colour, np.float32)
    np.copyto(part, (part + add * strength).clip(0, 255).astype(np.uint8))


@lru_cache(maxsize=64)
def _glow(half: int) -> npt.NDArray[np.float32]:
    y, x = np.mgrid[-half:half, -half:half].astype(np.float32) / half
    return np.clip(1 - np.hypot(x, y), 0, 1) ** 2


def mixed(a: Colour, b: Colour, share: float) -> Colour:
    """``share`` of b, the rest a."""
    red, green, blue = (round(p + (q - p) * share) for p, q in zip(a, b, strict=True))
    return red, green, blue


def wave(x: Any, at: float, *parts: tuple[float, float, int, float]) -> Any:
    """Sines added up: (height, cycles a unit of x, cycles a loop, phase) each."""
    return sum(high * np.sin(TURN * (along * x + turns * at) + phase) for high, along, turns, phase in parts)
