"""Pictures moved by parts of a pixel, against a linear warp of floats (SciPy) and against themselves."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from showcaller.screen.compose.pool import Pool
from showcaller.screen.compose.shift import shifted

shifts = st.floats(-6, 6) | st.integers(-3, 3).map(float)


@settings(max_examples=60)
@given(st.integers(0, 2**32), shifts, shifts, st.integers(1, 12), st.integers(1, 12))
def test_a_shift_is_what_scipy_makes_of_it(
    seed: int, right: float, down: float, high: int, wide: int
) -> None:
    random = np.random.default_rng(seed)
    source = random.integers(0, 256, (random.integers(1, 14), random.integers(1, 14), 3), np.uint8)
    made = np.zeros((high, wide, 3), np.uint8)
    shifted(Pool(), source, made, right, down)
    rows, columns = np.mgrid[0:high, 0:wide].astype(float)
    for channel in range(3):
        # scipy.ndimage.map_coordinates, order 1 (straight lines), mode "nearest" (the edge goes on).
        expected = ndimage.map_coordinates(
            source[..., channel].astype(float), [rows + down, columns + right], order=1, mode="nearest"
        )
        # Two roundings, and weights below one 512th left out.
        assert np.abs(made[..., channel] - expected).max() <= 1.6


@pytest.mark.parametrize("right", [-2.0, 0.0, 3.0])
def test_whole_pixels_are_copied(right: float) -> None:
    source = np.random.default_rng(1).random((9, 8)).astype(np.float32)
    made = np.zeros((9, 8), np.float32)
    shifted(Pool(), source, made, right, 1.0)
    expected = source[np.ix_(np.arange(1, 10).clip(0, 8), (np.arange(8) + int(right)).clip(0, 7))]
    assert np.array_equal(made, expected)
