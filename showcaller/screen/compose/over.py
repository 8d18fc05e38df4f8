"""One picture over another: Porter & Duff, Compositing Digital Images (1984), the operator *over*.

Colours are not premultiplied. Onto an opaque picture, αo = αa + αb (1 − αa) is 1 and what is left is
``a α + b (1 − α)``.
"""

from typing import Any

import cv2
import numpy as np

from showcaller.screen.compose.pool import Pixels, Pool, Weights


def over_opaque(pool: Pool, front: Pixels, back: Pixels, opacity: float, seen: Weights | None) -> None:
    """Put ``front`` over ``back``, which is changed. ``seen`` weighs each pixel of the front besides."""
    if seen is None:
        if opacity >= 1:
            np.copyto(back, front)
        elif opacity > 0:
            cv2.addWeighted(front, opacity, back, 1 - opacity, 0, back)
        return
    weights = seen
    if opacity < 1:
        weights = pool.weights("weighed", *seen.shape)
        np.multiply(seen, np.float32(opacity), weights)
    rest = pool.weights("rest", *seen.shape)
    np.subtract(np.float32(1), weights, rest)
    made = pool.pixels("over", *front.shape)
    cv2.blendLinear(front, back, weights, rest, made)
    np.copyto(back, made)


def over(front: Pixels, back: Pixels) -> Pixels:
    """``front`` over ``back``, both with an opacity as their fourth channel; a new picture."""
    a, b = front[..., 3:] / 255, back[..., 3:] / 255
    alpha = a + b * (1 - a)
    colour = (front[..., :3] * a + back[..., :3] * b * (1 - a)) / np.where(alpha > 0, alpha, 1)
    whole: np.ndarray[Any, Any] = np.rint(np.concatenate([colour, alpha * 255], axis=-1))
    return whole.astype(np.uint8)
