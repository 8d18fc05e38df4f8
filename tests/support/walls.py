"""Walls and looks for tests, made by hand and at random."""

from random import Random
from typing import Any

from showcaller.model import Crop, Layer, Look, LookChange, Song, Source, Wall, WallInput

FEET_M = 0.3048


def make_wall(splits: list[int], height_px: int = 900, **more: Any) -> Wall:
    """A wall of inputs side by side, ``splits`` px wide, 100 px a metre."""
    edges = [sum(splits[:n]) for n in range(len(splits) + 1)]
    inputs = tuple(
        WallInput(id=f"in-{n}", name="ABCDEFGHIJ"[n], x_px=edges[n], y_px=0, width_px=w, height_px=height_px)
        for n, w in enumerate(splits)
    )
    fields = {"channels": 8, "panel_px": (50, 50), **more}
    return Wall(
        id="main", name="Main wall",
        width_m=edges[-1] / 100, height_m=height_px / 100, width_px=edges[-1], height_px=height_px,
        inputs=inputs, **fields,
    )  # fmt: skip


def partition(random: Random, width: int, height: int, parts: int) -> list[tuple[int, int, int, int]]:
    """A rectangle cut again and again into unequal rectangles."""
    rects = [(0, 0, width, height)]
    while len(rects) < parts:
        x, y, w, h = rects.pop(random.randrange(len(rects)))
        if w >= h and w > 2:
            cut = random.randint(1, w - 1)
            rects += [(x, y, cut, h), (x + cut, y, w - cut, h)]
        elif h > 2:
            cut = random.randint(1, h - 1)
            rects += [(x, y, w, cut), (x, y + cut, w, h - cut)]
        else:
            rects.append((x, y, w, h))
            break
    return rects


def random_wall(random: Random) -> Wall:
    """A wall cut into one to six unequal inputs with rasters of any size, turned anyhow."""
    width, height = random.randint(200, 8000), random.randint(100, 3000)
    inputs = tuple(
        WallInput(
            id=f"in-{n}", name=f"I{n}", x_px=x, y_px=y, width_px=w, height_px=h,
            rotation=random.choice((0, 90, 180, 270)),
            raster_px=random.choice((None, (random.randint(100, 4000), random.randint(100, 4000)))),
        )
        for n, (x, y, w, h) in enumerate(partition(random, width, height, random.randint(1, 6)))
    )  # fmt: skip
    return Wall(
        id="main", name="Main wall",
        width_m=random.uniform(3, 90), height_m=random.uniform(2, 30), width_px=width, height_px=height,
        panel_px=(50, 50), channels=8, inputs=inputs,
    )  # fmt: skip


def random_layer(random: Random, wall: Wall, sources: list[Source]) -> Layer:
    """A layer anywhere on the wall or partly beside it."""
    left, right = random.uniform(0, 0.45), random.uniform(0, 0.45)
    return Layer(
        source=random.choice(sources).id,
        left_m=random.uniform(-0.5, 1) * wall.width_m,
        bottom_m=random.uniform(-0.5, 1) * wall.height_m,
        width_m=random.uniform(0.05, 1.5) * wall.width_m,
        height_m=random.uniform(0.05, 1.5) * wall.height_m,
        crop=Crop(left=left, right=right, top=random.uniform(0, 0.45), bottom=random.uniform(0, 0.45)),
        flip=random.choice(("none", "across", "down", "both")),
    )


SOURCES = [
    Source(id="cam-1", name="Camera 1", kind="camera"),
    Source(id="cam-2", name="Camera 2", kind="camera"),
    Source(id="clip", name="Long clip", kind="clip", width_px=3500, height_px=875),
    Source(id="old", name="Old tape", kind="clip", width_px=720, height_px=576, pixel_aspect=1.0926),
]


def full(wall: Wall, source: str = "cam-1", **more: Any) -> Layer:
    """A layer over the whole wall."""
    return Layer(source=source, left_m=0, bottom_m=0, width_m=wall.width_m, height_m=wall.height_m, **more)


def look(ident: str, *layers: Layer) -> Look:
    """A look."""
    return Look(id=ident, name=ident, layers=layers)


def song(length_s: float = 120.0, bpm: float = 120.0, **more: Any) -> Song:
    """A song of one tempo, without cues."""
    fields: dict[str, Any] = {
        "kind": "song", "id": "song", "name": "Song", "length_s": length_s, "tempo": [{"bar": 1, "bpm": bpm}],
    }  # fmt: skip
    return Song.model_validate({**fields, **more})


def to(ident: str, by: str = "cut", beats: float = 0.0, **more: Any) -> LookChange:
    """A change of look."""
    return LookChange.model_validate({"look": ident, "by": by, "beats": beats, **more})
