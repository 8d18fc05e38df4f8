"""Where layers fall on inputs: handbook arithmetic, random looks, and brute pixels."""

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from walls import FEET_M, SOURCES, full, make_wall, random_layer, random_wall

from showcaller.model import Crop, Layer, Source, Wall, WallInput
from showcaller.screen.costs import channels, could_be_straight, straight_trouble
from showcaller.screen.geometry import (
    LIGHTS_NONE_PX,
    Rect,
    grid_of,
    in_raster,
    input_rect,
    layer_rect,
    natural_aspect,
    panel_grid,
    panel_rect,
    pieces,
    pixel_pitch_mm,
    touched,
    wall_rect,
)


def test_a_wall_of_172_by_62_feet_in_thirds() -> None:
    # Splitting in thirds: common practice, no source. The international foot is 0.3048 m exactly.
    wide, high = 172 * FEET_M, 62 * FEET_M
    assert round(wide, 2) == 52.43
    assert round(high, 2) == 18.90
    thirds = make_wall([640, 640, 640], 692).model_copy(update={"width_m": wide, "height_m": high})
    layer = full(thirds)
    assert channels(thirds, layer) == 3
    assert [part.width for _, part in touched(thirds, layer)] == pytest.approx([640, 640, 640])


@given(st.integers(0, 2**32))
def test_the_grid_tells_the_inputs_that_rectangles_that_meet_tell(seed: int) -> None:
    random = Random(seed)
    wall = random_wall(random)
    layer = random_layer(random, wall, SOURCES)
    rect = layer_rect(wall, layer)
    met = [(i.id, rect.meet(input_rect(i))) for i in wall.inputs]
    lit = [name for name, part in met if part and min(part.width, part.height) >= LIGHTS_NONE_PX]
    assert list(grid_of(wall).lit(layer)) == [i.id for i, _ in touched(wall, layer)] == lit


def test_a_layer_a_hair_over_an_edge_lights_nothing_there_and_costs_nothing() -> None:
    wall = make_wall([1000, 1000])
    assert channels(wall, Layer(source="cam-1", left_m=0, bottom_m=0, width_m=10.004, height_m=9)) == 1
    assert channels(wall, Layer(source="cam-1", left_m=0, bottom_m=0, width_m=10.006, height_m=9)) == 2


@settings(max_examples=500, deadline=None)
@given(st.integers(0, 2**32))
def test_crops_and_places_add_up_to_what_is_seen_of_a_layer(seed: int) -> None:
    """Twenty random looks an example: 10,000 in all."""
    random = Random(seed)
    for _ in range(20):
        wall = random_wall(random)
        layer = random_layer(random, wall, SOURCES)
        source = next(s for s in SOURCES if s.id == layer.source)
        rect = layer_rect(wall, layer)
        seen = rect.meet(wall_rect(wall))
        found = pieces(wall, layer, source)
        area = 0.0 if seen is None else seen.area
        assert sum(p.on_wall.area for p in found) == pytest.approx(area, rel=1e-9, abs=1e-6)
        shown = (1 - layer.crop.left - layer.crop.right) * (1 - layer.crop.top - layer.crop.bottom)
        whole = shown * source.width_px * source.height_px
        assert sum(p.crop.area for p in found) == pytest.approx(whole * area / rect.area, rel=1e-9, abs=1e-6)
        for piece in found:
            size = piece.input.raster_px or (
                (piece.input.width_px, piece.input.height_px)
                if piece.input.rotation in (0, 180)
                else (piece.input.height_px, piece.input.width_px)
            )
            density = size[0] * size[1] / (piece.input.width_px * piece.input.height_px)
            assert piece.in_raster.area == pytest.approx(piece.on_wall.area * density, rel=1e-9)
            assert piece.in_raster.within(Rect(0, 0, *size), 1e-6)
            assert piece.crop.within(Rect(0, 0, source.width_px, source.height_px), 1e-6)


@given(st.integers(0, 2**32))
@settings(max_examples=100, deadline=None)
def test_overlapping_inputs_each_show_all_they_cover_and_gaps_show_nothing(seed: int) -> None:
    random = Random(seed)
    inputs = tuple(
        WallInput(
            id=f"i{n}", name="I", x_px=random.randint(0, 80), y_px=random.randint(0, 40),
            width_px=random.randint(1, 60), height_px=random.randint(1, 40),
        )
        for n in range(3)
    )  # fmt: skip
    wall = Wall(
        id="main",
        name="Main wall",
        width_m=14,
        height_m=8,
        width_px=140,
        height_px=80,
        panel_px=(10, 10),
        channels=4,
        inputs=inputs,
    )
    # Whole pixels, so that counting them one by one is exact.
    x, y, w, h = (
        random.randint(-20, 100),
        random.randint(-20, 60),
        random.randint(1, 99),
        random.randint(1, 60),
    )
    layer = Layer(source="cam-1", left_m=x / 10, bottom_m=(80 - y - h) / 10, width_m=w / 10, height_m=h / 10)
    counted = {}
    for i in inputs:
        grid = np.zeros((200, 300), int)
        grid[i.y_px + 50 : i.y_px + i.height_px + 50, i.x_px + 50 : i.x_px + i.width_px + 50] += 1
        grid[y + 50 : y + h + 50, x + 50 : x + w + 50] += 1
        counted[i.id] = int((grid == 2).sum())
    found = {p.input.id: p.on_wall.area for p in pieces(wall, layer, SOURCES[0]) if p.on_wall.area > 1e-6}
    assert {k: v for k, v in counted.items() if v} == pytest.approx(found)


@pytest.mark.parametrize("rotation", [0, 90, 180, 270])
def test_an_input_that_hangs_turned_shows_the_wall_upright(rotation: int) -> None:
    """Pixels drawn into the raster where the geometry says, then turned by numpy, must be the wall again."""
    i = WallInput(id="i", name="I", x_px=3, y_px=2, width_px=8, height_px=6, rotation=rotation)
    wide, high = (8, 6) if rotation in (0, 180) else (6, 8)
    raster = np.zeros((high, wide), int)
    wall = np.zeros((12, 16), int)
    for n, (x, y) in enumerate([(3, 2), (10, 2), (5, 4), (3, 7), (10, 7)], 1):
        place = in_raster(i, Rect(x, y, 1, 1))
        raster[round(place.y), round(place.x)] = n
        wall[y, x] = n
    assert np.array_equal(np.rot90(raster, -rotation // 90), wall[2:8, 3:11])  # rot90 turns the other way


def test_a_flipped_layer_shows_the_other_side_of_its_source() -> None:
    wall = make_wall([1000, 1000])
    source = Source(id="s", name="S", kind="still", width_px=400, height_px=100)
    plain = pieces(wall, full(wall, "s", crop=Crop(left=0.5)), source)
    across = pieces(wall, full(wall, "s", crop=Crop(left=0.5), flip="across"), source)
    assert [p.crop.x for p in plain] == [200, 300]
    assert [p.crop.x for p in across] == [300, 200]


def test_a_source_of_tall_pixels_keeps_its_shape() -> None:
    # 720×576 with pixels of 1.0926 (ITU-R BT.601, 625 lines; from memory): 702 of the 720 are 4:3.
    tape = next(s for s in SOURCES if s.id == "old")
    layer = Layer(source="old", left_m=0, bottom_m=0, width_m=1, height_m=1)
    assert natural_aspect(layer, tape) == pytest.approx(4 / 3 * 720 / 702, rel=0.002)
    assert natural_aspect(layer.changed(crop=Crop(left=0.5, right=0.5)), tape) is None


def test_pitch_and_panels() -> None:
    wall = make_wall([1000, 975])
    assert pixel_pitch_mm(wall) == pytest.approx(10)
    assert panel_grid(wall) == (40, 18)
    assert panel_rect(wall, 40, 1) == Rect(1950, 0, 25, 50)


def test_what_goes_direct_must_have_the_pixels_of_the_inputs_it_fills() -> None:
    wall = make_wall([875, 875, 875, 875], 875)
    layer = Layer(source="s", left_m=0, bottom_m=0, width_m=35, height_m=8.75, straight=True)
    whole = Source(id="s", name="S", kind="clip", width_px=3500, height_px=875)
    assert (channels(wall, layer, whole), straight_trouble(wall, layer, whole)) == (0, "")
    hd = whole.changed(width_px=1920, height_px=1080)
    assert channels(wall, layer, hd) == 4
    why = "it gives A 480 × 1080 px, which takes 875 × 875"
    assert straight_trouble(wall, layer, hd) == f"not direct: {why}"
    # An input whose cable carries another raster takes that; turned by 90, its width runs down the wall.
    turned = wall.changed(inputs=tuple(i.changed(rotation=90, raster_px=(1080, 480)) for i in wall.inputs))
    assert channels(turned, layer, hd) == 0
    assert could_be_straight(turned, layer.changed(straight=False), hd) == ("A", "B", "C", "D")
    assert could_be_straight(wall, layer.changed(straight=False), hd) == ()
