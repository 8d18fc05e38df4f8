"""How fast the wall is composed and its channels are counted, beside bare loops in the same run.

``python benchmarks/bench_screen.py [--quick]``; half a minute. Frames: six layers onto 1920×692, and beside
it the same six pictures put there by a loop of OpenCV calls with buffers of its own and no looks, places or
treatments to work out; a mix and a move of them beside the same loop. Channels: a song of 200 looks that
nobody has asked about before, and beside it the bare counting of its spans by sorting.
"""

import argparse
import os
import sys
import time
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import cv2
import numpy as np
from results import keep

from showcaller.model import Layer, Look, LookChange, Song, Wall, WallInput
from showcaller.model.treatments import Blur, Contrast, LumaKey, Mirror, Posterize, Tint
from showcaller.screen.channels import allocate, levels, spans
from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.looks import _layer_keys, arrange
from showcaller.screen.picture import picture_at
from showcaller.timing.plan import compile_item

WIDTH, HEIGHT = 1920, 692
LIMIT_RATIO, LIMIT_CHANGE, LIMIT_FPS, LIMIT_LOOKS = 1.25, 1.6, 60.0, 20.0
ROUNDS = 9

WALL = Wall(
    id="main", name="Main wall", width_m=52.43, height_m=18.9, width_px=WIDTH, height_px=HEIGHT, panel_px=(40, 40), channels=24,
    inputs=tuple(
        WallInput(id=f"i{n}", name=f"I{n}", x_px=640 * n, y_px=0, width_px=640, height_px=HEIGHT)
        for n in range(3)
    ),
)  # fmt: skip
PX_M = WALL.width_m / WIDTH

PLACES = [
    (0, 0, 1920, 692, 1.0), (60, 60, 560, 315, 1.0), (660, 60, 600, 572, 0.85),
    (1290, 60, 560, 315, 1.0), (100, 400, 480, 270, 0.7), (1350, 400, 480, 270, 1.0),
]  # fmt: skip
"""Six layers: left, top, width, height in px, opacity."""


def layers(*treatments: Any) -> tuple[Layer, ...]:
    """The six layers; the upper five with these treatments."""
    return tuple(
        Layer(
            source=f"s{n}", left_m=x * PX_M, bottom_m=(HEIGHT - y - h) * WALL.height_m / HEIGHT,
            width_m=w * PX_M, height_m=h * WALL.height_m / HEIGHT, opacity=o,
            treatments=treatments if n else (),
        )
        for n, (x, y, w, h, o) in enumerate(PLACES)
    )  # fmt: skip


def sources() -> dict[str, np.ndarray[Any, Any]]:
    """Six pictures: one of the wall's own size, five of 1920×1080."""
    random = np.random.default_rng(1)
    sizes = [(HEIGHT, WIDTH)] + [(1080, 1920)] * 5
    return {f"s{n}": random.integers(0, 256, (*size, 3), dtype=np.uint8) for n, size in enumerate(sizes)}


def bare_loop(pictures: dict[str, np.ndarray[Any, Any]], rough: bool = False) -> Callable[[], None]:
    """What somebody writes by hand for exactly these six.

    Large pictures are halved first, so that no lines are skipped and nothing glitters; ``rough`` leaves that
    out.
    """
    canvas = np.zeros((HEIGHT, WIDTH, 3), np.uint8)
    half = np.empty((540, 960, 3), np.uint8)
    buffers = [np.empty((h, w, 3), np.uint8) for _, _, w, h, _ in PLACES]
    steps = [
        (
            pictures[f"s{n}"],
            buffers[n],
            canvas[y : y + h, x : x + w],
            o,
            not rough and 2 * w < 1920 and 2 * h < 1080,
        )
        for n, (x, y, w, h, o) in enumerate(PLACES)
    ]

    def frame() -> None:
        for picture, buffer, place, opacity, halve in steps:
            if picture.shape == buffer.shape:
                np.copyto(place, picture)
                continue
            if halve:
                cv2.resize(picture, (960, 540), half, interpolation=cv2.INTER_AREA)
            cv2.resize(half if halve else picture, (buffer.shape[1], buffer.shape[0]), buffer)
            if opacity < 1:
                cv2.addWeighted(buffer, opacity, place, 1 - opacity, 0, place)
            else:
                np.copyto(place, buffer)

    return frame


def looks(*changes: tuple[float, LookChange, Look]) -> Any:
    """A song at 120 a minute with these changes."""
    song = Song.model_validate(
        {"kind": "song", "id": "s", "name": "S", "length_s": 900, "tempo": [{"bar": 1, "bpm": 120}]}
    )
    return arrange(
        compile_item(song, "25"),
        [(Fraction(str(at)), c, k, f"c{n}") for n, (at, c, k) in enumerate(changes)],
    )


def timed_ms(work: Callable[[], object], count: int) -> float:
    """Mean ms of one call."""
    began = time.perf_counter()
    for _ in range(count):
        work()
    return (time.perf_counter() - began) * 1000 / count


def turn_by_turn(works: list[Callable[[], object]], count: int) -> list[float]:
    """Median over rounds of each, so that both meet the same machine; ms."""
    rounds = [[timed_ms(work, count) for work in works] for _ in range(ROUNDS)]
    return [float(np.median([r[n] for r in rounds])) for n in range(len(works))]


def frames_bench(count: int, kept: dict[str, object]) -> bool:
    """Composing."""
    pictures = sources()
    canvas = Canvas(WALL, WIDTH, HEIGHT)

    def frames(source: str, _since_s: float) -> tuple[Any, None]:
        return pictures[source], None

    def composing(song: Any, at_s: float) -> Callable[[], object]:
        return lambda: canvas.compose(picture_at(WALL, song, at_s), frames)

    still = looks((0, LookChange(look="a"), Look(id="a", name="a", layers=layers())))
    ours = composing(still, 5.0)
    bare, rough = bare_loop(pictures), bare_loop(pictures, rough=True)
    for work in (ours, bare, rough):
        work()
    ours_ms, bare_ms, rough_ms = turn_by_turn([ours, bare, rough], count)
    ratio, fps = ours_ms / bare_ms, 1000 / ours_ms
    kept |= {"six layers ms": round(ours_ms, 2), "bare loop ms": round(bare_ms, 2), "times": round(ratio, 2)}
    print(f"six layers onto {WIDTH}×{HEIGHT}: {ours_ms:.2f} ms, bare loop {bare_ms:.2f} ms")
    print(f"  a loop that lets large pictures glitter: {rough_ms:.2f} ms, {ours_ms / rough_ms:.2f} times")
    met = [
        verdict("beside the bare loop", ratio, LIMIT_RATIO, "×"),
        verdict("frames a second", fps, LIMIT_FPS, "", least=True),
    ]
    moved = tuple(x.model_copy(update={"left_m": x.left_m + 0.31}) for x in layers())
    change = {"look": "b", "beats": 64}
    others = {
        "in the middle of a mix": (layers(), {"by": "mix"}, layers()[::-1]),
        "in the middle of a move": (layers(), {"by": "move"}, moved),
        "with tint and posterize": (layers(Tint(kind="tint"), Posterize(kind="posterize")), {}, None),
        "with contrast and a luma key": (
            layers(Contrast(kind="contrast"), LumaKey(kind="luma key")), {}, None
        ),
        "with blur": (layers(Blur(kind="blur", radius=0.02)), {}, None),
        "with mirror tiling": (layers(Mirror(kind="mirror", across=3)), {}, None),
    }  # fmt: skip
    for words, (first, by, second) in others.items():
        begins = (0.0, LookChange(look="a"), Look(id="a", name="a", layers=first))
        goes_on = (1.0, LookChange.model_validate(change | by), Look(id="b", name="b", layers=second or ()))
        song = looks(begins, goes_on) if second else looks(begins)
        work = composing(song, 17.0)
        work()
        bare()
        took, beside = turn_by_turn([work, bare], count)
        kept[f"{words}, times the bare loop"] = round(took / beside, 2)
        if second:
            met.append(verdict(words, took / beside, LIMIT_CHANGE, "×"))
        else:
            print(f"  {words}: {took:.2f} ms, {took / beside:.2f} times the bare loop")
    return all(met)


def channels_bench(kept: dict[str, object]) -> bool:
    """A song of 200 looks."""
    random = np.random.default_rng(2)
    made = []
    for n in range(200):
        found = tuple(
            Layer(
                source=f"s{random.integers(6)}", id=f"l{k}", left_m=float(random.uniform(-5, 40)),
                bottom_m=0.0, width_m=float(random.uniform(5, 40)), height_m=18.9,
            )
            for k in range(6)
        )  # fmt: skip
        by = ("cut", "mix", "move")[n % 3]
        look = Look(id=f"k{n}", name=f"k{n}", layers=found)
        made.append((n * 4, LookChange(look=look.id, by=by, beats=4 if by != "cut" else 0), look))

    planned = looks(*made).planned
    changes = [(Fraction(at), c, k, f"c{n}") for n, (at, c, k) in enumerate(made)]

    def whole() -> int:
        song = arrange(planned, changes)
        occupied = spans(WALL, song)
        return max(allocate(occupied)) - max(level.count for level in levels(occupied, song.length_s))

    assert whole() == 0, "more channels than overlap"
    occupied = spans(WALL, looks(*made))
    ends = [(s.start_s, 1) for s in occupied] + [(s.end_s, -1) for s in occupied]

    def bare() -> int:
        most = count = 0
        for _, step in sorted(ends):
            count += step
            most = max(most, count)
        return most

    def fresh() -> None:
        _layer_keys.cache_clear()  # as if every look had just been made
        whole()

    ours_ms, bare_ms = turn_by_turn([fresh, bare], 3)
    kept |= {"200 looks counted ms": round(ours_ms, 2), "by sorting alone ms": round(bare_ms, 2)}
    print(f"\n200 looks, {len(occupied)} spans: {ours_ms:.1f} ms; by sorting alone {bare_ms:.2f} ms")
    return verdict("200 looks beside sorting", ours_ms / bare_ms, LIMIT_LOOKS, "×")


def verdict(words: str, figure: float, bar: float, unit: str, least: bool = False) -> bool:
    """Print one bar and whether it is met."""
    met = figure >= bar if least else figure <= bar
    how = "at least" if least else "at most"
    print(f"  {'met   ' if met else 'MISSED'} {words}: {figure:.2f}{unit} ({how} {bar:g}{unit})")
    return met


def main() -> int:
    """Measure and print; status 1 when a bar is missed."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--quick", action="store_true", help="a short run that only shows that all works")
    quick = parser.parse_args().quick
    load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    print(f"{os.cpu_count()} processors{load}, OpenCV on {cv2.getNumThreads()} threads")
    kept: dict[str, object] = {}
    met = [frames_bench(3 if quick else 15, kept), channels_bench(kept)]
    if not quick:
        keep("screen", kept)
    return 0 if all(met) or quick else 1


if __name__ == "__main__":
    sys.exit(main())
