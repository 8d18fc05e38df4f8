"""Parts of a surface by their names, and layers that cover one without being distorted. Metres; no Qt."""

import re
from typing import Any

from showcaller.desk.areas.wall.grips import Box, input_box, placed
from showcaller.model import Crop, Layer, Show, Source, Wall
from showcaller.model.wall import WallInput
from showcaller.screen.geometry import natural_aspect

PARTS_HINT = "all, left, middle, right, left half, lower half, an input by its name or letter, A to B"

_THIRDS = {"left": (0, 1), "middle": (1, 2), "centre": (1, 2), "center": (1, 2), "right": (2, 3)}
_PARTS = {
    **dict.fromkeys(("all", "whole", "full", "everywhere"), (0.0, 1.0, 0.0, 1.0)),
    **{name + end: (low / 3, high / 3, 0.0, 1.0) for name, (low, high) in _THIRDS.items()
       for end in ("", " third")},
    "left half": (0.0, 0.5, 0.0, 1.0), "right half": (0.5, 1.0, 0.0, 1.0),
    "left two thirds": (0.0, 2 / 3, 0.0, 1.0), "right two thirds": (1 / 3, 1.0, 0.0, 1.0),
    **{f"{word} half": (0.0, 1.0, 0.0, 0.5) for word in ("lower", "bottom")},
    **{f"{word} half": (0.0, 1.0, 0.5, 1.0) for word in ("upper", "top")},
}  # fmt: skip
"""What a part is called → from where to where it goes, across and up, in shares of the surface."""


def place_named(show: Show, wall: Wall, words: str) -> tuple[Wall, Box] | None:
    """The surface and the part of it that words name: ``side left``, ``floor left half``; where they name no
    surface, a part of ``wall``."""
    wanted = _bare(words)
    for one in sorted(show.surfaces, key=lambda s: -len(s.name)):
        rest = wanted.removeprefix(one.name.lower())
        if rest != wanted and rest[:1] in ("", " ", ":"):
            box = part_named(one, rest.strip(" :") or "all")
            return None if box is None else (one, box)
    box = part_named(wall, wanted)
    return None if box is None else (wall, box)


def _bare(words: str) -> str:
    return " ".join(words.lower().split()).removeprefix("on ").removeprefix("in ").removeprefix("the ")


def part_named(wall: Wall, words: str) -> Box | None:
    """The part of a surface that words name: ``left``, ``lower half``, ``input B``, ``A to C``; None if they
    name none. What people called an input themselves comes first. An edge within a pixel of an input's lies
    on it, so that no other input is reached into."""
    wanted = _bare(words)
    if wanted in _PARTS and wanted not in {i.name.lower() for i in wall.inputs}:
        left, right, bottom, top = _PARTS[wanted]
        width, height = wall.width_m, wall.height_m
        return _on_edges(
            wall, Box(left * width, bottom * height, (right - left) * width, (top - bottom) * height)
        )
    ends = [_input(wall, end) for end in re.split(r"\s+to\s+|\s*[-–]\s*", wanted, maxsplit=1)]
    boxes = [input_box(wall, end) for end in ends if end is not None]
    if len(boxes) < len(ends):
        return None
    left, right = min(b.left for b in boxes), max(b.right for b in boxes)
    bottom, top = min(b.bottom for b in boxes), max(b.top for b in boxes)
    return Box(left, bottom, right - left, top - bottom)


def _input(wall: Wall, word: str) -> WallInput | None:
    """An input by its name or the last word of it, by its number from the first, or ``input`` and one of
    these."""
    names = {i.name.lower(): i for i in wall.inputs}
    if word not in names:
        word = word.removeprefix("input ")
    if word.isdecimal() and word not in names and 1 <= int(word[:4]) <= len(wall.inputs):
        return wall.inputs[int(word[:4]) - 1]
    last = [i for name, i in names.items() if name.split()[-1:] == [word]]
    return names.get(word) or (last[0] if len(last) == 1 else None)


def _on_edges(wall: Wall, box: Box) -> Box:
    boxes = [input_box(wall, i) for i in wall.inputs]
    xs = [x for b in boxes for x in (b.left, b.right)]
    ys = [y for b in boxes for y in (b.bottom, b.top)]
    across, up = wall.width_m / wall.width_px, wall.height_m / wall.height_px

    def near(value: float, edges: list[float], within: float) -> float:
        best = min(edges, key=lambda e: abs(e - value), default=value)
        return best if abs(best - value) <= within else value

    left, right = near(box.left, xs, across), near(box.right, xs, across)
    bottom, top = near(box.bottom, ys, up), near(box.top, ys, up)
    return Box(left, bottom, right - left, top - bottom)


def covered(box: Box, layer: Layer, source: Source) -> dict[str, Any]:
    """The fields of a layer that covers a box, cut at both sides or above and below so that it is not
    distorted. A file that was not read yet is not cut: its shape is not known, and it may be made for it."""
    bare = layer.model_copy(update={"crop": Crop()})
    aspect, shape = natural_aspect(bare, source) or 1.0, box.width / box.height
    away = 0.0 if _unknown(source) else round((1 - min(aspect, shape) / max(aspect, shape)) / 2, 4)
    crop = Crop(left=away, right=away) if aspect > shape else Crop(top=away, bottom=away)
    return {**placed(box), "crop": crop.model_dump(mode="json")}


def _unknown(source: Source) -> bool:
    """Whether its shape is its file's, which was not read yet, and nobody said how large it is."""
    usual = tuple(Source.model_fields[f].default for f in ("width_px", "height_px"))
    sized = (source.width_px, source.height_px) != usual
    return source.kind in ("clip", "still") and source.read is None and not sized


def filling(wall: Wall, layer: Layer, source: Source) -> Layer:
    """A layer over a whole surface, not distorted."""
    bare = layer.model_copy(update={"straight": False, "flip": "none"})
    fields = covered(Box(0.0, 0.0, wall.width_m, wall.height_m), bare, source)
    return bare.model_copy(update={**fields, "crop": Crop.model_validate(fields["crop"])})
