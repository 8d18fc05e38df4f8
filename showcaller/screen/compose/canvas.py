"""A picture of the wall put together from its layers, into buffers that are used again every frame."""

from collections import Counter
from collections.abc import Callable, Sequence
from math import ceil
from typing import Any

import cv2
import numpy as np

from showcaller.model import Blur, Crop, Mirror, Wall
from showcaller.screen.compose.over import over_opaque
from showcaller.screen.compose.pool import Pixels, Pool, Weights
from showcaller.screen.compose.shift import shifted
from showcaller.screen.compose.treat import treat
from showcaller.screen.geometry import Rect
from showcaller.screen.picture import Picture, Placed
from showcaller.screen.playback import Playing

Frames = Callable[[str, float, Playing | None], tuple[Pixels, Weights | None] | None]
"""(source, how long it has been on the wall in s, how its clip is played) → its picture and how much is seen
of each pixel (None: all); None while it has no picture."""

Alike = tuple[Any, ...]
"""All of a layer that its pixels hang on, but for its opacity."""

_NEAR_PX = 0.26
"""A crop this near to whole pixels of a layer at rest is taken as whole: nobody sees a quarter of a pixel."""

_SAME_PX = 0.02
"""A layer whose far edge is this near to where it would be in its picture's own size is drawn in that."""

_LARGEST = 6
"""A layer more than so many times as large as the wall is treated only where it is seen."""

_WIPE_SOFT = 0.02
"""The soft edge of a wipe, as a part of the wall's width."""


class Canvas:
    """Composes pictures of a wall, ``width`` × ``height`` px."""

    def __init__(self, wall: Wall, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._across, self._down = width / wall.width_px, height / wall.height_px
        self._pool = Pool()
        self._now = np.zeros((height, width, 3), np.uint8)
        self._before = np.zeros((height, width, 3), np.uint8)
        self._shared: dict[Alike, tuple[Pixels, Weights | None] | None] = {}
        """Layers that both looks of a change have, once they are drawn to size."""
        self._often: frozenset[str] = frozenset()
        self._halves: dict[tuple[Any, ...], tuple[Any, Pixels | Weights]] = {}
        """What sources that lie in several places are halved to in this picture, by what is shown of them;
        and the source, which must not go away under it."""

    @property
    def held(self) -> int:
        """Bytes of scratch memory; it stops growing once every kind of layer has been seen."""
        return self._pool.size + self._now.size + self._before.size

    def compose(self, picture: Picture, frames: Frames) -> Pixels:
        """The picture; the array is this canvas's own and holds until the next call."""
        both = picture.progress < 1 and picture.by in ("mix", "wipe")
        # A layer that lies in both looks in one way is drawn to size once.
        new = {_alike(x) for x in picture.layers} if both else set()
        self._shared = {key: None for x in picture.before if (key := _alike(x)) in new}
        times = Counter(x.source for x in (*picture.layers, *(picture.before if both else ())))
        self._often = frozenset(source for source, count in times.items() if count > 1)
        self._halves.clear()
        self._draw(self._now, picture.layers, frames)
        if both:
            self._draw(self._before, picture.before, frames)
            if picture.by == "mix":
                p = picture.progress
                cv2.addWeighted(self._now, p, self._before, 1 - p, 0, self._now)
            else:
                for area in picture.areas or (None,):
                    self._wipe(picture.progress, *self._px_of(area))
        return self._now

    def _draw(self, canvas: Pixels, layers: Sequence[Placed], frames: Frames) -> None:
        clean = False
        for placed in layers:
            found = frames(placed.source, placed.since_s, placed.plays) if placed.opacity > 0 else None
            if found is None:
                continue
            # What was there before need not be painted black under a picture that hides all of it.
            if not clean and not (found[1] is None and self._covers(placed)):
                canvas[:] = 0
            clean = True
            self._layer(canvas, placed, *found)
        if not clean:
            canvas[:] = 0

    def _covers(self, placed: Placed) -> bool:
        r = placed.rect.scaled(self._across, self._down)
        whole = Rect(0, 0, self.width, self.height).within(r, 0.5)
        return (
            whole
            and placed.area is None
            and placed.opacity >= 1
            and not placed.treatments
            and not placed.soft_px
        )

    def part(self, made: Pixels, area: Rect | None) -> Pixels:
        """The part of a picture that is an area of the wall's grid; all of it for None."""
        columns, rows = self._px_of(area)
        return made[rows, columns]

    def _px_of(self, area: Rect | None) -> tuple[slice, slice]:
        """The columns and rows of an area of the wall's grid; all of them for None."""
        if area is None:
            return slice(0, self.width), slice(0, self.height)
        r = area.scaled(self._across, self._down)
        columns = slice(max(0, round(r.x)), min(self.width, round(r.right)))
        return columns, slice(max(0, round(r.y)), min(self.height, round(r.bottom)))

    def _layer(self, canvas: Pixels, placed: Placed, source: Pixels, alpha: Weights | None) -> None:
        rect = placed.rect.scaled(self._across, self._down)
        if not placed.moving:
            x0, y0, x1, y1 = (round(v) for v in (rect.x, rect.y, rect.right, rect.bottom))
            rect = Rect(x0, y0, x1 - x0, y1 - y0)
        x0, y0 = int(np.floor(rect.x + 0.5)), int(np.floor(rect.y + 0.5))
        x1, y1 = int(np.floor(rect.right + 0.5)), int(np.floor(rect.bottom + 0.5))
        if x1 <= x0 or y1 <= y0:
            return
        of_x, of_y = self._px_of(placed.area)
        seen_x = slice(max(of_x.start, x0), min(of_x.stop, x1))
        seen_y = slice(max(of_y.start, y0), min(of_y.stop, y1))
        if seen_x.start >= seen_x.stop or seen_y.start >= seen_y.stop:
            return
        # These need what is beside the wall too, within reason.
        small = (x1 - x0) * (y1 - y0) <= _LARGEST * self.width * self.height
        whole = small and any(isinstance(t, Blur | Mirror) for t in placed.treatments)
        at = (x0, y0, x1, y1) if whole else (seen_x.start, seen_y.start, seen_x.stop, seen_y.stop)
        plain = alpha is None and placed.opacity >= 1 and not placed.treatments and not placed.soft_px
        if plain and _alike(placed) not in self._shared:
            self._scale(source, canvas[seen_y, seen_x], placed, rect, at)
            return
        part, weights = self._sized(source, alpha, placed, rect, at)
        cut = np.s_[seen_y.start - at[1] : seen_y.stop - at[1], seen_x.start - at[0] : seen_x.stop - at[0]]
        if weights is not None:
            weights = weights[cut]
        over_opaque(self._pool, part[cut], canvas[seen_y, seen_x], placed.opacity, weights)

    def _sized(
        self,
        source: Pixels,
        alpha: Weights | None,
        placed: Placed,
        rect: Rect,
        at: tuple[int, int, int, int],
    ) -> tuple[Pixels, Weights | None]:
        """The canvas at ``at`` as the layer alone would have it, treated, and how much is seen of it."""
        key = _alike(placed)
        kept = self._shared.get(key)
        if kept is not None:
            return kept
        place = list(self._shared).index(key) if key in self._shared else None
        name = "part" if place is None else f"part {place}"
        part = self._pool.pixels(name, at[3] - at[1], at[2] - at[0], 3)
        self._scale(source, part, placed, rect, at)
        weights = self._weights(placed, rect, at, alpha)
        keyed = treat(self._pool, part, placed.treatments)
        if keyed is not None:
            weights = keyed if weights is None else np.multiply(weights, keyed, weights)
        if place is not None:
            if weights is not None:
                mine = self._pool.weights(f"weights {place}", *weights.shape)
                np.copyto(mine, weights)
                weights = mine
            self._shared[key] = part, weights
        return part, weights

    def _scale(
        self,
        source: Pixels | Weights,
        part: Pixels | Weights,
        placed: Placed,
        rect: Rect,
        at: tuple[int, int, int, int],
    ) -> None:
        """Fill ``part``, which is the canvas at ``at``, with the source as it lies at ``rect``."""
        shown = _cropped(source.shape[1], source.shape[0], placed.crop)
        halvings = _halvings(min(shown.width / rect.width, shown.height / rect.height))
        if halvings:
            # First halved, averaging, to where straight lines between pixels skip none: no glitter. Only what
            # is shown; on its way in blocks that stay the same, so that halving moves nothing.
            block = 1 << halvings
            left, top = int(shown.x), int(shown.y)
            if placed.moving:
                left, top = left // block * block, top // block * block
            box = left, top, ceil(shown.right), ceil(shown.bottom)
            source = self._halved(source, box, halvings, placed.source in self._often)
            shown = Rect(shown.x - left, shown.y - top, shown.width, shown.height).scaled(
                1 / block, 1 / block
            )
        crop, flip = shown, placed.flip
        size = (at[2] - at[0], at[3] - at[1])
        edges = (crop.x, crop.y, crop.right, crop.bottom)
        whole_px = all(abs(v - round(v)) < _NEAR_PX for v in edges)
        if whole_px and not placed.moving:
            x0, y0, x1, y1 = (round(v) for v in edges)
            crop = Rect(x0, y0, max(1, x1 - x0), max(1, y1 - y0))
        # Nothing beside the crop may be drawn into its edge: what is drawn from has no more than the crop.
        left, top = min(int(crop.x), source.shape[1] - 1), min(int(crop.y), source.shape[0] - 1)
        cut = source[top : max(top + 1, ceil(crop.bottom)), left : max(left + 1, ceil(crop.right))]
        if (rect.x, rect.y, rect.right, rect.bottom) == at and whole_px and flip == "none":
            if size == (cut.shape[1], cut.shape[0]):
                np.copyto(part, cut)
            elif cut.size:
                cv2.resize(cut, size, part, interpolation=cv2.INTER_LINEAR)
            return
        across = crop.width / rect.width * (-1 if flip in ("across", "both") else 1)
        down = crop.height / rect.height * (-1 if flip in ("down", "both") else 1)
        # Pixel middles: canvas x + ½ − rect.x from the layer's left edge is that far into the crop.
        start_x = crop.right if across < 0 else crop.x
        start_y = crop.bottom if down < 0 else crop.y
        shift_x = start_x - left + (at[0] + 0.5 - rect.x) * across - 0.5
        shift_y = start_y - top + (at[1] + 0.5 - rect.y) * down - 0.5
        if abs(across - 1) * size[0] < _SAME_PX and abs(down - 1) * size[1] < _SAME_PX:
            shifted(self._pool, cut, part, shift_x, shift_y)
            return
        back = np.array([[across, 0, shift_x], [0, down, shift_y]])
        how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        cv2.warpAffine(cut, back, size, part, flags=how, borderMode=cv2.BORDER_REPLICATE)

    def _halved(
        self, source: Pixels | Weights, box: tuple[int, int, int, int], times: int, often: bool
    ) -> Pixels | Weights:
        """A part of a source (left, top, right, bottom), halved so many times. What lies in several places is
        halved once, and begins with what was halved less often of it."""
        left, top, right, bottom = box
        part, name = source[top:bottom, left:right], f"half {source.ndim}"
        take = self._pool.pixels if source.dtype == np.uint8 else self._pool.weights
        for n in range(times):
            height, width = part.shape[0] // 2, part.shape[1] // 2
            if not height or not width:
                break
            key = id(source), box, n
            if often and key in self._halves:
                part = self._halves[key][1]
                continue
            own = f"{name} of {len(self._halves)}" if often else f"{name} {n}"
            made = take(own, height, width, *part.shape[2:])
            cv2.resize(part[: 2 * height, : 2 * width], (width, height), made, interpolation=cv2.INTER_AREA)
            part = made
            if often:
                self._halves[key] = source, part
        return part

    def _weights(
        self, placed: Placed, rect: Rect, at: tuple[int, int, int, int], alpha: Weights | None
    ) -> Weights | None:
        """How much is seen of each pixel: of the source's own opacity, and of soft edges."""
        weights: Weights | None = None
        if alpha is not None:
            weights = self._pool.weights("alpha", at[3] - at[1], at[2] - at[0])
            self._scale(alpha, weights, placed, rect, at)
        if placed.soft_px > 0:
            soft = placed.soft_px * self._across
            ramps = []
            for low, high, start, stop in (
                (rect.y, rect.bottom, at[1], at[3]),
                (rect.x, rect.right, at[0], at[2]),
            ):
                middle = np.arange(start, stop, dtype=np.float32) + 0.5
                inside = np.minimum(middle - np.float32(low), np.float32(high) - middle)
                ramps.append(np.clip(inside / np.float32(soft), 0, 1))
            edge = self._pool.weights("edge", at[3] - at[1], at[2] - at[0])
            np.multiply.outer(ramps[0], ramps[1], out=edge)
            weights = edge if weights is None else np.multiply(weights, edge, weights)
        return weights

    def _wipe(self, progress: float, columns: slice, rows: slice) -> None:
        """The new picture from the left, the old one to the right of a soft edge."""
        now, before = self._now[rows, columns], self._before[rows, columns]
        width = now.shape[1]
        soft = max(1, round(width * _WIPE_SOFT))
        edge = progress * (width + soft) - soft
        start, stop = max(0, int(edge)), min(width, int(edge) + soft)
        now[:, max(0, stop) :] = before[:, max(0, stop) :]
        for x in range(start, stop):
            p = 1 - (x + 0.5 - edge) / soft
            cv2.addWeighted(now[:, x], p, before[:, x], 1 - p, 0, now[:, x])


def _alike(placed: Placed) -> Alike:
    x = placed
    return x.source, x.since_s, x.plays, x.rect, x.crop, x.flip, x.treatments, x.soft_px, x.moving, x.area


def _halvings(ratio: float) -> int:
    """How often a picture is halved before it is drawn ``ratio`` times smaller."""
    times = 0
    while ratio > 2 and times < 5:
        ratio, times = ratio / 2, times + 1
    return times


def _cropped(width: int, height: int, crop: Crop) -> Rect:
    left, top = crop.left * width, crop.top * height
    return Rect(
        left, top, max(1.0, width - left - crop.right * width), max(1.0, height - top - crop.bottom * height)
    )
