"""Treatments on a picture, in place, without new memory. Each is checked against an independent library."""

from functools import lru_cache
from typing import Any

import cv2
import numpy as np

from showcaller.model import (
    Blur,
    ColourKey,
    Contrast,
    LumaKey,
    Mirror,
    Monochrome,
    Posterize,
    Tint,
)
from showcaller.screen.compose.colour import BT709, bgr
from showcaller.screen.compose.pool import Pixels, Pool, Weights

_WIDEST_PX = 5.0
"""A Gaussian wider than this is taken on a smaller picture: what it leaves has no finer detail."""

_LUMA = np.array([BT709[::-1]], np.float32)


def treat(pool: Pool, picture: Pixels, treatments: tuple[Any, ...]) -> Weights | None:
    """Apply treatments to ``picture`` in their order. Returns how much is seen of each pixel, None: all.

    The weights returned are the pool's; they hold until the next call.
    """
    seen: Weights | None = None
    for treatment in treatments:
        match treatment:
            case Tint() | Monochrome():
                _transform(pool, picture, matrix(treatment))
            case Posterize() | Contrast():
                cv2.LUT(picture, table(treatment), picture)
            case Blur():
                _blur(pool, picture, treatment.radius * picture.shape[0])
            case Mirror():
                _mirror(pool, picture, treatment.across, treatment.down)
                if seen is not None:
                    _mirror(pool, seen, treatment.across, treatment.down)
            case LumaKey() | ColourKey():
                keyed = _key(pool, picture, treatment)
                if seen is None:
                    seen = pool.weights("seen", *keyed.shape)
                    np.copyto(seen, keyed)
                else:
                    np.multiply(seen, keyed, seen)
    return seen


@lru_cache(maxsize=256)
def matrix(treatment: Tint | Monochrome) -> np.ndarray[Any, np.dtype[np.float32]]:
    """Three rows of blue, green, red and an offset: both treatments are affine."""
    luma = np.array(BT709[::-1], np.float64)
    if isinstance(treatment, Monochrome):
        rest = np.eye(3) * (1 - treatment.amount)
        return np.column_stack([rest + treatment.amount * luma, np.zeros(3)]).astype(np.float32)
    dark, light = np.array(bgr(treatment.dark), float), np.array(bgr(treatment.light), float)
    return np.column_stack([np.outer((light - dark) / 255, luma), dark]).astype(np.float32)


@lru_cache(maxsize=256)
def table(treatment: Posterize | Contrast) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """What each of the 256 codes becomes."""
    code = np.arange(256)
    if isinstance(treatment, Posterize):
        step = code * treatment.levels // 256
        return np.rint(step * 255 / (treatment.levels - 1)).astype(np.uint8)
    middle = treatment.pivot * 255
    driven = np.rint((code - middle) * treatment.amount + middle)
    return np.asarray(np.clip(driven, 0, 255), np.uint8)


def _transform(pool: Pool, picture: Pixels, by: np.ndarray[Any, Any]) -> None:
    made = pool.pixels("treated", *picture.shape)
    cv2.transform(picture, by, made)
    np.copyto(picture, made)


def _blur(pool: Pool, picture: Pixels, sigma_px: float) -> None:
    height, width = picture.shape[:2]
    shrink = 1
    while sigma_px / shrink > _WIDEST_PX and min(height, width) // (2 * shrink) >= 16:
        shrink *= 2
    if shrink == 1:
        made = pool.pixels("treated", *picture.shape)
        cv2.GaussianBlur(picture, (0, 0), sigma_px, made, borderType=cv2.BORDER_REFLECT)
        np.copyto(picture, made)
        return
    small = pool.pixels("small", -(-height // shrink), -(-width // shrink), 3)
    cv2.resize(picture, (small.shape[1], small.shape[0]), small, interpolation=cv2.INTER_AREA)
    made = pool.pixels("treated", *small.shape)
    # Averaging over `shrink` px and drawing straight lines between blur too, by these variances.
    done = (shrink * shrink - 1) / 12 + shrink * shrink / 6
    rest = max(0.3, float(np.sqrt(max(0.0, sigma_px * sigma_px - done)) / shrink))
    cv2.GaussianBlur(small, (0, 0), rest, made, borderType=cv2.BORDER_REFLECT)
    cv2.resize(made, (width, height), picture, interpolation=cv2.INTER_LINEAR)


def _mirror(pool: Pool, picture: np.ndarray[Any, Any], across: int, down: int) -> None:
    height, width = picture.shape[:2]
    high, wide = max(1, -(-height // down)), max(1, -(-width // across))
    rest = picture.shape[2:]
    take = pool.pixels if picture.dtype == np.uint8 else pool.weights
    tile, turned = take("tile", high, wide, *rest), take("turned", high, wide, *rest)
    cv2.resize(picture, (wide, high), tile, interpolation=cv2.INTER_AREA)
    for row in range(down):
        for column in range(across):
            part = picture[row * high : (row + 1) * high, column * wide : (column + 1) * wide]
            if part.size == 0:
                continue
            from_: Any = tile
            if row % 2 or column % 2:
                code = -1 if row % 2 and column % 2 else 0 if row % 2 else 1
                from_ = cv2.flip(tile, code, turned)
            np.copyto(part, from_[: part.shape[0], : part.shape[1]])


def _key(pool: Pool, picture: Pixels, key: LumaKey | ColourKey) -> Weights:
    height, width = picture.shape[:2]
    light = pool.weights("light", height, width, 3)
    np.multiply(picture, np.float32(1 / 255), light)
    weights = pool.weights("keyed", height, width)
    if isinstance(key, LumaKey):
        cv2.transform(light, _LUMA, weights)
        low = key.cut - key.soft / 2
        slope = 1 / key.soft
        np.subtract(weights, np.float32(low), weights)
        np.multiply(weights, np.float32(slope), weights)
        if key.keep == "dark":
            np.subtract(np.float32(1), weights, weights)
    else:
        other = pool.weights("other", height, width)
        first, second = chroma(key.colour)
        cv2.transform(light, first, weights)
        cv2.transform(light, second, other)
        cv2.magnitude(weights, other, weights)
        far = max(key.far, key.near + 0.004)
        np.subtract(weights, np.float32(key.near), weights)
        np.multiply(weights, np.float32(1 / (far - key.near)), weights)
    np.clip(weights, 0, 1, weights)
    return weights


@lru_cache(maxsize=64)
def chroma(colour: str) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    """Rows that give how far a pixel is from a colour along Cb and Cr, each a half at most (BT.709)."""
    red, green, blue = BT709
    rows = (
        np.array([1 - blue, -green, -red]) / (2 * (1 - blue)),
        np.array([-blue, -green, 1 - red]) / (2 * (1 - red)),
    )
    of = np.array(bgr(colour)) / 255
    first, second = (np.append(row, -float(row @ of))[None, :].astype(np.float32) for row in rows)
    return first, second
