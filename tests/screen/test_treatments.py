"""Every treatment beside an independent library's, to within 1 of 255."""

from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image
from skimage import color, exposure, filters

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
from showcaller.screen.compose.colour import relative_luminance
from showcaller.screen.compose.over import over, over_opaque
from showcaller.screen.compose.pool import Pool
from showcaller.screen.compose.treat import treat

RANDOM = np.random.default_rng(7)
NOISE = RANDOM.integers(0, 256, (61, 83, 3), dtype=np.uint8)
SMOOTH = cv2.GaussianBlur(RANDOM.integers(0, 256, (240, 320, 3), dtype=np.uint8), (0, 0), 6)
SMOOTH = cv2.normalize(SMOOTH, None, 0, 255, cv2.NORM_MINMAX)


def treated(picture: np.ndarray[Any, Any], *treatments: Any) -> np.ndarray[Any, Any]:
    made = picture.copy()
    assert treat(Pool(), made, treatments) is None
    return made


def keyed(picture: np.ndarray[Any, Any], *treatments: Any) -> np.ndarray[Any, Any]:
    seen = treat(Pool(), picture.copy(), treatments)
    assert seen is not None
    return seen


def apart(a: np.ndarray[Any, Any], b: np.ndarray[Any, Any]) -> float:
    return float(np.abs(a.astype(float) - b.astype(float)).max())


def rgb(picture: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    return picture[..., ::-1]


def luma_by_pillow(picture: np.ndarray[Any, Any]) -> Image.Image:
    """Pillow's own conversion weighs by BT.601, so it is given BT.709's matrix."""
    return Image.fromarray(np.ascontiguousarray(rgb(picture))).convert("L", (0.2126, 0.7152, 0.0722, 0))


def test_monochrome_is_pillows_and_scikit_images_luma() -> None:
    made = treated(NOISE, Monochrome(kind="monochrome"))
    assert apart(made, np.asarray(luma_by_pillow(NOISE))[..., None]) <= 1
    assert apart(made, 255 * color.rgb2gray(rgb(NOISE))[..., None]) <= 1  # its weights: .2125 .7154 .0721


def test_half_monochrome_is_half_way() -> None:
    whole = treated(NOISE, Monochrome(kind="monochrome"))
    half = treated(NOISE, Monochrome(kind="monochrome", amount=0.5))
    blend = Image.blend(Image.fromarray(NOISE), Image.fromarray(whole), 0.5)
    assert apart(half, np.asarray(blend)) <= 1


def test_tint_is_pillows_colorize() -> None:
    from PIL import ImageOps

    made = treated(NOISE, Tint(kind="tint", dark="#102A43", light="#FFB347"))
    reference = ImageOps.colorize(luma_by_pillow(NOISE), "#102A43", "#FFB347")
    assert apart(rgb(made), np.asarray(reference)) <= 1


@pytest.mark.parametrize("bits", [1, 2, 3, 4])
def test_posterize_has_pillows_classes_stretched_to_white(bits: int) -> None:
    """Pillow keeps the top bits, so its white is 128, 192, 224, 240; ours stays white."""
    from PIL import ImageOps

    made = treated(NOISE, Posterize(kind="posterize", levels=2**bits))
    reference = np.asarray(ImageOps.posterize(Image.fromarray(NOISE), bits)).astype(float)
    assert apart(made, reference * 255 / (256 - 2 ** (8 - bits))) <= 1
    assert made.max() == 255


@pytest.mark.parametrize("amount", [0.3, 1.5, 4])
def test_contrast_is_pillows_extrapolated_blend_and_opencvs_scaling(amount: float) -> None:
    made = treated(NOISE, Contrast(kind="contrast", amount=amount))
    grey = Image.new("RGB", (NOISE.shape[1], NOISE.shape[0]), (128, 128, 128))
    pivoted = treated(NOISE, Contrast(kind="contrast", amount=amount, pivot=128 / 255))
    assert apart(pivoted, np.asarray(Image.blend(grey, Image.fromarray(NOISE), amount))) <= 1
    scaled = cv2.addWeighted(NOISE, amount, NOISE, 0, 127.5 * (1 - amount))
    assert apart(made, scaled) <= 1


@pytest.mark.parametrize("keep", ["bright", "dark"])
def test_luma_key_is_scikit_images_rescaled_luma(keep: str) -> None:
    seen = keyed(NOISE, LumaKey(kind="luma key", keep=keep, cut=0.4, soft=0.2))
    # scikit-image's grey weighs by .2125 .7154 .0721 (Poynton), the standard by .2126 .7152 .0722.
    grey = np.asarray(rgb(NOISE)) / 255 @ np.array([0.2126, 0.7152, 0.0722])
    reference = exposure.rescale_intensity(grey, in_range=(0.3, 0.5), out_range=(0, 1))
    if keep == "dark":
        reference = 1 - reference
    assert apart(seen, reference) <= 1 / 255


def test_colour_key_is_a_distance_in_the_chroma_plane() -> None:
    """Cb and Cr as ITU-R BT.709 defines them, the ramp by scikit-image."""
    key = ColourKey(kind="colour key", colour="#00B140", near=0.1, far=0.3)
    seen = keyed(NOISE, key)
    r, g, b = (rgb(NOISE)[..., n] / 255 for n in range(3))
    kr, kg, kb = 0, 0xB1 / 255, 0x40 / 255

    def chroma(r: Any, g: Any, b: Any) -> tuple[Any, Any]:
        y = 0.2126 * r + 0.7152 * g + 0.0722 * b
        return (b - y) / 1.8556, (r - y) / 1.5748  # ITU-R BT.709, item 3.3

    (cb, cr), (kcb, kcr) = chroma(r, g, b), chroma(kr, kg, kb)
    away = np.hypot(cb - kcb, cr - kcr)
    reference = exposure.rescale_intensity(away, in_range=(0.1, 0.3), out_range=(0, 1))
    assert apart(seen, reference) <= 1 / 255
    screen = np.full((4, 4, 3), (0x40, 0xB1, 0x00), np.uint8)
    assert keyed(screen, key).max() == 0


def test_two_keys_leave_what_both_leave() -> None:
    first = LumaKey(kind="luma key", cut=0.3)
    second = LumaKey(kind="luma key", keep="dark", cut=0.7)
    assert apart(keyed(NOISE, first, second), keyed(NOISE, first) * keyed(NOISE, second)) < 1e-6


@pytest.mark.parametrize("sigma", [1.0, 3.0, 9.0, 24.0])
def test_blur_is_scikit_images_gaussian(sigma: float) -> None:
    made = treated(SMOOTH, Blur(kind="blur", radius=sigma / SMOOTH.shape[0]))
    reference = filters.gaussian(
        SMOOTH, sigma, mode="reflect", channel_axis=-1, truncate=5, preserve_range=True
    )
    assert apart(made, np.rint(reference)) <= 1


def test_mirror_tiling_is_numpys_symmetric_padding() -> None:
    picture = np.ascontiguousarray(SMOOTH[:120, :180])
    tile = cv2.resize(picture, (60, 60), interpolation=cv2.INTER_AREA)
    made = treated(picture, Mirror(kind="mirror", across=3, down=2))
    assert np.array_equal(made, np.pad(tile, ((0, 60), (0, 120), (0, 0)), mode="symmetric"))


def test_over_is_porter_and_duffs_as_pillow_has_it() -> None:
    front = RANDOM.integers(0, 256, (40, 40, 4), dtype=np.uint8)
    back = RANDOM.integers(0, 256, (40, 40, 4), dtype=np.uint8)
    reference = np.asarray(Image.alpha_composite(Image.fromarray(back), Image.fromarray(front)))
    made = over(front, back)
    assert apart(made[..., 3], reference[..., 3]) <= 1
    seen = made[..., 3] > 8  # of what is all but clear the colour means nothing
    assert apart(made[seen], reference[seen]) <= 1
    red, blue = np.array([[[255, 0, 0, 128]]], np.uint8), np.array([[[0, 0, 255, 128]]], np.uint8)
    assert apart(over(red, blue), np.array([170, 0, 85, 192])) <= 1  # half over half: ¾, colours 2 : 1


def test_over_an_opaque_picture_is_pillows_too() -> None:
    front = RANDOM.integers(0, 256, (40, 50, 4), dtype=np.uint8)
    back = RANDOM.integers(0, 256, (40, 50, 3), dtype=np.uint8)
    below = np.dstack([back, np.full((40, 50), 255, np.uint8)])
    reference = np.asarray(Image.alpha_composite(Image.fromarray(below), Image.fromarray(front)))[..., :3]
    made = back.copy()
    weights = front[..., 3].astype(np.float32) / 255
    over_opaque(Pool(), np.ascontiguousarray(front[..., :3]), made, 1.0, weights)
    assert apart(made, np.rint(reference)) <= 1
    halved = back.copy()
    over_opaque(Pool(), np.ascontiguousarray(front[..., :3]), halved, 0.5, None)
    blend = Image.blend(Image.fromarray(back), Image.fromarray(np.ascontiguousarray(front[..., :3])), 0.5)
    assert apart(halved, np.asarray(blend)) <= 1


@pytest.mark.parametrize(
    ("colour", "luminance"),
    [((255, 255, 255), 1.0), ((255, 0, 0), 0.2126), ((0, 255, 0), 0.7152), ((0, 0, 255), 0.0722),
     ((128, 128, 128), 0.215861), ((188, 188, 188), 0.502886)],
)  # fmt: skip
def test_luminance_weighs_as_bt709_and_in_linear_light(
    colour: tuple[int, int, int], luminance: float
) -> None:
    # Decoded sRGB 128 → .215861 and 188 → .502886: IEC 61966-2-1, computed.
    picture = np.full((3, 5, 3), colour[::-1], np.uint8)
    assert relative_luminance(picture) == pytest.approx(luminance, abs=1e-6)
