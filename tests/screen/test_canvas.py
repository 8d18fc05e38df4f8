"""Frames: where pictures land, to a part of a pixel; changes of look; memory that does not grow."""

import gc
import tracemalloc
from fractions import Fraction
from itertools import pairwise
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image
from skimage import transform
from walls import full, look, make_wall, song, to

from showcaller.model import Crop, Layer, Look, LookChange
from showcaller.model.treatments import LumaKey
from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.compose.pool import Pixels
from showcaller.screen.looks import Looks, arrange
from showcaller.screen.picture import Picture, eased, picture_at, place
from showcaller.timing.plan import compile_item

WALL = make_wall([200, 120], 160)
RED, GREEN, BLUE = (0, 0, 255), (0, 255, 0), (255, 0, 0)


def plain(colour: tuple[int, int, int], width: int = 64, height: int = 36) -> Pixels:
    return np.full((height, width, 3), colour, np.uint8)


PLAIN = {"cam-1": plain(RED), "cam-2": plain(GREEN), "clip": plain(BLUE)}


def frames(source: str, *_: object) -> tuple[Pixels, None] | None:
    return (PLAIN[source], None) if source in PLAIN else None


def layer(
    left: float, bottom: float, width: float, height: float, source: str = "cam-1", **more: Any
) -> Layer:
    """Lengths in px of the wall, from its lower left corner."""
    return Layer(
        source=source, left_m=left / 100, bottom_m=bottom / 100, width_m=width / 100, height_m=height / 100,
        **more,
    )  # fmt: skip


def still(*layers: Layer) -> Picture:
    return Picture(tuple(place(WALL, x, x.source, 0.0) for x in layers))


def looks_of(*changes: tuple[float, LookChange, Look]) -> Looks:
    planned = compile_item(song(), "25")
    return arrange(planned, [(Fraction(str(at)), c, k, f"c{n}") for n, (at, c, k) in enumerate(changes)])


def test_a_layer_lies_where_the_geometry_says_and_nothing_else_is_lit() -> None:
    made = Canvas(WALL, 320, 160).compose(still(layer(40, 20, 100, 60)), frames)
    expected = np.zeros((160, 320, 3), np.uint8)
    expected[80:140, 40:140] = RED
    assert np.array_equal(made, expected)


def cropped(width: int, height: int, crop: tuple[int, int, int, int], seed: int) -> Pixels:
    """Noise, pure red wherever a crop of so many px (left, top, right, bottom) hides it."""
    random = np.random.default_rng(seed)
    made = np.full((height, width, 3), RED, np.uint8)
    left, top, right, bottom = crop
    inside = random.integers(0, 256, (height - top - bottom, width - left - right, 3), np.uint8)
    inside[..., 2] = 0
    made[top : height - bottom, left : width - right] = inside
    return made


FLIPS = {
    "none": None, "across": Image.Transpose.FLIP_LEFT_RIGHT, "down": Image.Transpose.FLIP_TOP_BOTTOM,
    "both": Image.Transpose.ROTATE_180,
}  # fmt: skip


@pytest.mark.parametrize("flip", FLIPS)
@pytest.mark.parametrize(
    "place",
    [
        (0, 0, 320, 160),
        (-1, 0, 320, 160),
        (1, 1, 319, 159),
        (-37, -20, 400, 230),
        (40, 30, 120, 90),
        (200, 90, 200, 130),
    ],
)
@pytest.mark.parametrize("crop", [(0, 0, 0, 0), (4, 0, 0, 0), (3, 5, 7, 2), (0, 9, 10, 0), (20, 10, 11, 9)])
def test_an_enlarged_crop_shows_nothing_from_beside_it(
    flip: str, place: tuple[int, int, int, int], crop: tuple[int, int, int, int]
) -> None:
    """Every pixel against Pillow: the crop cut out, turned, and resized with the same filter (bilinear)."""
    width, height = 32, 20
    source = cropped(width, height, crop, sum(crop))
    left, top, right, bottom = crop
    x, y, wide, high = place
    shown = layer(
        x, 160 - y - high, wide, high, flip=flip,
        crop=Crop(left=left / width, top=top / height, right=right / width, bottom=bottom / height),
    )  # fmt: skip
    made = Canvas(WALL, 320, 160).compose(still(shown), lambda *_: (source, None))
    theirs = Image.fromarray(source).crop((left, top, width - right, height - bottom))
    turn = FLIPS[flip]
    theirs = theirs.transpose(turn) if turn is not None else theirs
    theirs = theirs.resize((wide, high), Image.Resampling.BILINEAR)
    expected = Image.new("RGB", (320, 160))
    expected.paste(theirs, (x, y))
    assert made[..., 2].max() == 0  # no red
    # OpenCV keeps 1/32 of a pixel in a warp: with steps of 255 between pixels that is 8 at most, twice.
    assert np.abs(made.astype(int) - np.asarray(expected).astype(int)).max() <= 16


@pytest.mark.parametrize("flip", FLIPS)
@pytest.mark.parametrize("seed", range(25))
def test_a_crop_at_any_size_shows_nothing_from_beside_it(flip: str, seed: int) -> None:
    """Also reduced, and also where the wall ends."""
    random = np.random.default_rng(seed)
    width, height = int(random.integers(40, 700)), int(random.integers(40, 400))
    crop = tuple(int(v) for v in random.integers(0, 18, 4))
    source = cropped(width, height, crop, seed)  # type: ignore[arg-type]
    left, top, right, bottom = crop
    shown = layer(
        int(random.integers(-100, 200)), int(random.integers(-100, 100)), int(random.integers(20, 500)),
        int(random.integers(20, 300)), flip=flip,
        crop=Crop(left=left / width, top=top / height, right=right / width, bottom=bottom / height),
    )  # fmt: skip
    made = Canvas(WALL, 320, 160).compose(still(shown), lambda *_: (source, None))
    assert made[..., 2].max() == 0


def test_a_layer_that_reaches_outside_shows_its_inside() -> None:
    ramp = np.repeat(np.arange(200, dtype=np.uint8)[None, :, None], 100, 0).repeat(3, 2)
    made = Canvas(WALL, 320, 160).compose(
        still(layer(-50, 30, 200, 100)), lambda *_: (np.ascontiguousarray(ramp), None)
    )
    assert np.abs(made[60, :150, 0].astype(int) - np.arange(50, 200)).max() <= 1
    assert not made[:, 150:].any()


def test_crop_and_flip_show_the_right_part() -> None:
    ramp = np.ascontiguousarray(np.repeat(np.arange(200, dtype=np.uint8)[None, :, None], 100, 0).repeat(3, 2))
    made = Canvas(WALL, 320, 160).compose(
        still(layer(0, 0, 100, 100, crop=Crop(left=0.25, right=0.25), flip="across")),
        lambda *_: (ramp, None),
    )
    assert np.abs(made[100, :100, 0].astype(int) - np.arange(149, 49, -1)).max() <= 1


def test_a_moving_layer_lies_between_pixels_as_scikit_image_says() -> None:
    picture = cv2.GaussianBlur(
        np.random.default_rng(3).integers(0, 256, (60, 80, 3), dtype=np.uint8), (0, 0), 2
    )
    placed = place(WALL, layer(40.3, 30.6, 120, 90), "x", 0.0)
    from showcaller.values import replace

    made = Canvas(WALL, 320, 160).compose(
        Picture((replace(placed, moving=True),)), lambda *_: (picture, None)
    )
    # Pixel middles: a canvas pixel (x, y) shows the source at (x + ½ − left) · 80/120 − ½, and so down.
    top = 160 - 30.6 - 90
    scale = 80 / 120
    to_source = transform.AffineTransform(
        matrix=[[scale, 0, (0.5 - 40.3) * scale - 0.5], [0, scale, (0.5 - top) * scale - 0.5], [0, 0, 1]]
    )
    reference = 255 * transform.warp(picture, to_source, output_shape=(160, 320), order=1, mode="edge")
    inside = np.s_[42:127, 42:158]
    # OpenCV places to 1/32 of a pixel, on a picture of gentle slopes that is a few codes.
    assert np.abs(made[inside].astype(float) - reference[inside]).max() <= 3
    assert np.abs(made[inside].astype(float) - reference[inside]).mean() <= 0.5


def test_opacity_soft_edges_and_order() -> None:
    made = Canvas(WALL, 320, 160).compose(
        still(full(WALL, "clip"), layer(100, 40, 100, 80, opacity=0.5), layer(140, 60, 20, 20, "cam-2")),
        frames,
    )
    assert tuple(made[45, 110]) in {(128, 0, 128), (127, 0, 128), (128, 0, 127)}
    assert tuple(made[90, 150]) == GREEN
    assert tuple(made[5, 5]) == BLUE
    soft = Canvas(WALL, 320, 160).compose(still(layer(100, 40, 100, 80, soft_edge_m=0.2)), frames)
    row = soft[80, 100:200, 2].astype(float)
    assert np.abs(row[:20] - 255 * (np.arange(20) + 0.5) / 20).max() <= 1  # 0.2 m are 20 px
    assert np.array_equal(row, row[::-1])
    assert row[50] == 255


def test_a_still_with_an_opacity_of_its_own() -> None:
    alpha = np.zeros((36, 64), np.float32)
    alpha[:, 32:] = 1
    made = Canvas(WALL, 320, 160).compose(
        still(full(WALL, "clip"), layer(0, 0, 64, 36)),
        lambda s, *_: (PLAIN[s], alpha if s == "cam-1" else None),
    )
    assert tuple(made[140, 10]) == BLUE
    assert tuple(made[140, 50]) == RED


def test_nothing_of_the_frame_before_shines_through() -> None:
    canvas = Canvas(WALL, 320, 160)
    clear = np.zeros((36, 64), np.float32)
    for after in (
        lambda *_: (PLAIN["cam-1"], clear),  # a still that is all clear
        lambda *_: None,  # a source without a picture
    ):
        canvas.compose(still(full(WALL, "clip")), frames)
        assert not canvas.compose(still(full(WALL)), after).any()
    canvas.compose(still(full(WALL, "clip")), frames)
    assert not canvas.compose(still(full(WALL, opacity=0)), frames).any()


def test_a_huge_layer_takes_no_huge_memory() -> None:
    from showcaller.model import Blur

    canvas = Canvas(WALL, 320, 160)
    huge = layer(-5000, -5000, 20000, 20000, treatments=(Blur(kind="blur", radius=0.01),))
    assert tuple(canvas.compose(still(huge), frames)[80, 160]) == RED
    assert canvas.held < 20 * 320 * 160 * 3


def test_no_picture_is_no_layer() -> None:
    made = Canvas(WALL, 320, 160).compose(still(full(WALL, "old")), frames)
    assert not made.any()


def test_a_mix_half_way_is_half_of_both() -> None:
    looks = looks_of(
        (0, to("a"), look("a", full(WALL, "cam-1"))),
        (10, to("b", "mix", 8, ease="even"), look("b", full(WALL, "clip"))),
    )
    canvas = Canvas(WALL, 320, 160)
    assert tuple(canvas.compose(picture_at(WALL, looks, 9.99), frames)[0, 0]) == RED
    half = canvas.compose(picture_at(WALL, looks, 12.0), frames)[0, 0]
    assert np.abs(half.astype(int) - (128, 0, 128)).max() <= 1
    assert tuple(canvas.compose(picture_at(WALL, looks, 14.0), frames)[0, 0]) == BLUE


@pytest.mark.parametrize("seed", range(12))
def test_a_mix_of_looks_that_share_layers_is_the_mix_of_both_drawn_apart(seed: int) -> None:
    random = np.random.default_rng(seed)
    noise = {name: random.integers(0, 256, (36, 64, 3), np.uint8) for name in ("cam-1", "cam-2", "clip")}
    faint = random.random((36, 64)).astype(np.float32)

    def found(source: str, *_: object) -> tuple[Pixels, Any]:
        return noise[source], faint if source == "clip" else None

    key = LumaKey(kind="luma key", cut=0.5, soft=0.2)
    same = [
        layer(0, 0, 320, 160),
        layer(30, 20, 90, 70, "cam-2", opacity=0.7, soft_edge_m=0.1),
        layer(80, 40, 90, 70, "clip", treatments=(key,)),
    ]
    other = [x.model_copy(update={"opacity": 0.4}) for x in reversed(same)]
    before, after = still(*same, layer(150, 10, 60, 60)), still(*other, layer(10, 90, 60, 60, "cam-2"))
    p = float(random.random())
    made = Canvas(WALL, 320, 160).compose(Picture(after.layers, before.layers, "mix", p), found)
    apart = [Canvas(WALL, 320, 160).compose(one, found).astype(float) for one in (after, before)]
    assert np.abs(made - (p * apart[0] + (1 - p) * apart[1])).max() <= 0.51


def test_what_lies_in_several_places_is_as_if_each_were_a_source_of_its_own() -> None:
    """Halved once for all of them; two pictures one after the other, the second of another frame."""
    pixels = np.random.default_rng(5).integers(0, 256, (2, 540, 960, 3)).astype(np.uint8)
    now = pixels[0].copy()
    places = [(0, 0, 60, 34), (70, 10, 120, 67), (200, 40, 30, 17), (210, 90, 60, 34)]
    crops = [{}, {"left": 0.1}, {}, {"left": 0.1}]
    names = ["cam-1", "cam-1", "cam-1", "cam-1"], ["cam-1", "cam-2", "clip", "words"]
    one, each = Canvas(WALL, 320, 160), Canvas(WALL, 320, 160)
    for frame in pixels:
        now[:] = frame  # a clip writes its next frame into the same memory
        made = [
            canvas.compose(
                still(
                    *(
                        layer(*at, source, crop=crop)
                        for at, crop, source in zip(places, crops, of, strict=True)
                    )
                ),
                lambda *_: (now, None),
            ).copy()
            for canvas, of in ((one, names[0]), (each, names[1]))
        ]
        assert np.array_equal(*made)


def test_a_wipe_comes_from_the_left() -> None:
    looks = looks_of(
        (0, to("a"), look("a", full(WALL, "cam-1"))),
        (10, to("b", "wipe", 8, ease="even"), look("b", full(WALL, "clip"))),
    )
    canvas = Canvas(WALL, 320, 160)
    half = canvas.compose(picture_at(WALL, looks, 12.0), frames)
    assert tuple(half[80, 100]) == BLUE
    assert tuple(half[80, 200]) == RED
    late = canvas.compose(picture_at(WALL, looks, 13.99), frames)
    assert tuple(late[80, 316]) == BLUE


def test_a_move_takes_a_layer_along_and_eases() -> None:
    a = look("a", layer(0, 0, 40, 40))
    b = look("b", layer(200, 100, 80, 20))
    looks = looks_of((0, to("a"), a), (10, to("b", "move", 8, ease="slow both"), b))
    quarter = picture_at(WALL, looks, 11.0).layers[0]
    p = 3 * 0.25**2 - 2 * 0.25**3  # smoothstep at a quarter
    assert quarter.rect.x == pytest.approx(200 * p)
    assert quarter.rect.width == pytest.approx(40 + 40 * p)
    assert picture_at(WALL, looks, 14.0).layers[0].rect.x == pytest.approx(200)


def test_beats_follow_a_tempo_that_changes() -> None:
    """Half the beats of a change are half the change, however fast the second half goes."""
    planned = compile_item(song(tempo=[{"bar": 1, "bpm": 60}, {"bar": 2, "bpm": 240}], length_s=30), "25")
    changes = [
        (Fraction(0), to("a"), look("a", full(WALL)), "c0"),
        (Fraction(2), to("b", "mix", 4, ease="even"), look("b", full(WALL, "clip")), "c1"),
    ]
    looks = arrange(planned, changes)
    assert looks.standing[1].arrived_s == pytest.approx(4.5)  # 2 beats in 2 s, 2 beats in ½ s
    assert picture_at(WALL, looks, 4.0).progress == pytest.approx(0.5)


def test_a_layer_arrives_beats_later_by_growing() -> None:
    late = layer(100, 40, 100, 80, arrives="grow", arrives_after=4, arrives_over=4)
    looks = looks_of((0, to("a"), look("a", late)))
    assert picture_at(WALL, looks, 1.9).layers == ()
    half = picture_at(WALL, looks, 3.0).layers[0].rect
    come = 1 - 0.5 * 0.5
    assert (half.width, half.height) == (pytest.approx(100 * come), pytest.approx(80 * come))
    assert half.x + half.width / 2 == pytest.approx(150)


@pytest.mark.parametrize("ease", ["even", "slow start", "slow end", "slow both"])
def test_easing_begins_and_ends_where_it_should_and_never_turns_back(ease: str) -> None:
    values = [eased(n / 100, ease) for n in range(-5, 106)]
    assert values[5] == 0
    assert values[105] == 1
    assert all(a <= b for a, b in pairwise(values))


def test_a_source_counts_from_when_it_came_on_and_goes_on_through_looks_that_keep_it() -> None:
    a, b = look("a", full(WALL, "clip")), look("b", full(WALL, "clip"), layer(0, 0, 9, 9))
    looks = looks_of((5, to("a"), a), (10, to("b", "mix", 2), b), (20, to("c"), look("c")), (30, to("a"), a))
    assert picture_at(WALL, looks, 12).layers[0].since_s == pytest.approx(7)
    assert picture_at(WALL, looks, 31).layers[0].since_s == pytest.approx(1)


def test_frame_after_frame_takes_no_more_memory() -> None:
    from showcaller.model import Blur, LumaKey, Mirror, Tint

    moving = layer(
        0, 0, 90, 60, soft_edge_m=0.1, treatments=(Tint(kind="tint"), LumaKey(kind="luma key")),
    )  # fmt: skip
    there = layer(
        180, 70, 130, 90, soft_edge_m=0.1, treatments=(Tint(kind="tint"), LumaKey(kind="luma key")),
    )  # fmt: skip
    tiled = layer(20, 20, 77, 55, "cam-2", treatments=(Mirror(kind="mirror"), Blur(kind="blur", radius=0.05)))
    looks = looks_of(
        (0, to("a"), look("a", full(WALL, "clip"), moving)),
        (1, to("b", "move", 16), look("b", full(WALL, "clip"), there, tiled)),
        (9.5, to("c", "mix", 4), look("c", full(WALL, "cam-2"))),
    )
    canvas = Canvas(WALL, 320, 160)
    times = [n / 30 for n in range(360)]
    for at_s in times:
        canvas.compose(picture_at(WALL, looks, at_s), frames)
    held = canvas.held
    tracemalloc.start()
    for at_s in times[:60]:
        canvas.compose(picture_at(WALL, looks, at_s), frames)
    gc.collect()
    before = tracemalloc.get_traced_memory()[0]
    for at_s in times * 2:
        canvas.compose(picture_at(WALL, looks, at_s), frames)
    gc.collect()
    grown = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    assert canvas.held == held
    assert grown < 20_000, f"{grown} bytes more after 720 frames of {320 * 160 * 3}"
