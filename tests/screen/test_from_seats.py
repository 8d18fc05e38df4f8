"""From the seats: the projection against OpenCV's, what is hidden against similar triangles, lines typed."""

from math import atan2, degrees

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wall_show import wall_show

from showcaller.editing import ChangeError, apply
from showcaller.model import House, HousePlace, Show, Tower
from showcaller.screen.from_seats import (
    eye_of,
    focal_px,
    hidden_share,
    house_of,
    projected,
    seat_view,
    wall_corners,
    width_deg,
)
from showcaller.screen.setup.rows import setup_change, setup_rows, typed_text

SHOW = wall_show()
WALL = SHOW.wall
assert WALL is not None
SIZE = (1600, 900)
FLAT = House(wall_bottom_m=2, stage_width_m=1, stage_depth_m=0.5, stage_height_m=0.1)


def opencv(house: House, place: HousePlace, points: np.ndarray, focal: float) -> np.ndarray:
    """OpenCV's ``projectPoints``; its house is right-handed, so y runs the other way."""
    flip = np.array([1.0, -1.0, 1.0])
    eye, target = eye_of(place) * flip, np.array([0, 0, house.wall_bottom_m + WALL.height_m / 2])
    forward = (target - eye) / np.linalg.norm(target - eye)
    right = np.cross(forward, (0, 0, 1))
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(forward, right), forward])
    matrix = np.array([[focal, 0, SIZE[0] / 2], [0, focal, SIZE[1] / 2], [0, 0, 1]])
    rotation, _ = cv2.Rodrigues(turn)
    found, _ = cv2.projectPoints(points * flip, rotation, -turn @ eye, matrix, None)
    return found[:, 0]


@settings(max_examples=60)
@given(
    st.floats(-60, 60), st.floats(3, 150), st.floats(0, 30),
    st.lists(st.tuples(st.floats(-40, 40), st.floats(-1, 2), st.floats(0, 25)), min_size=1, max_size=8),
)  # fmt: skip
def test_the_picture_is_the_one_that_opencv_projects(
    x: float, y: float, eye: float, some: list[tuple[float, float, float]]
) -> None:
    place = HousePlace(name="here", x_m=x, y_m=y, eye_m=eye)
    points = np.concatenate([wall_corners(WALL, FLAT), np.array(some)])
    found, ahead = projected(WALL, FLAT, place, points, SIZE)
    wanted = opencv(FLAT, place, points, focal_px(WALL, FLAT, place, SIZE))
    assert found[ahead] == pytest.approx(wanted[ahead], abs=1e-3, rel=1e-6)
    # The whole wall is in the picture, and fills it one way.
    assert (found[:4] >= -1e-6).all()
    assert (found[:4] <= np.array(SIZE) + 1e-6).all()


def test_right_is_right_and_the_wall_is_as_wide_as_its_angle() -> None:
    place = HousePlace(name="here", x_m=0, y_m=40, eye_m=FLAT.wall_bottom_m)
    found, _ = projected(WALL, FLAT, place, wall_corners(WALL, FLAT), SIZE)
    assert found[0, 0] < found[1, 0]
    assert found[0, 1] < found[3, 1], "the upper edge is above"
    assert width_deg(WALL, FLAT, place) == pytest.approx(2 * degrees(atan2(20, 40)))


def test_what_a_tower_hides_is_its_shadow_by_similar_triangles() -> None:
    # Half-way between the eye and the wall a tower 4 m wide hides 8 of the wall's 40 m; as high as can be.
    tower = Tower(name="mix tower", x_m=0, y_m=20, width_m=4, depth_m=0.01, height_m=100)
    house = FLAT.changed(towers=(tower,))
    place = HousePlace(name="here", x_m=0, y_m=40, eye_m=7)
    share, by = hidden_share(WALL, house, place)
    assert (share, by) == (pytest.approx(8 / 40, abs=0.01), ("mix tower",))
    # Up to the eyes' own height it hides what is below them: half of the wall here.
    low = house.changed(towers=(tower.changed(height_m=7),))
    assert hidden_share(WALL, low, place)[0] == pytest.approx(8 / 40 / 2, abs=0.01)
    behind = house.changed(towers=(tower.changed(y_m=60),))
    assert hidden_share(WALL, behind, place) == (0, ())


def test_letters_are_read_from_twice_as_far_if_twice_as_high() -> None:
    near, far = (seat_view(WALL, FLAT, HousePlace(name="x", x_m=0, y_m=y)) for y in (200, 400))
    assert far.least_m / near.least_m == pytest.approx(2, rel=0.01)
    # Five minutes of arc (Snellen, 20/20) at the farthest corner.
    corner = np.linalg.norm(wall_corners(WALL, FLAT)[0] - np.array([0, 400, 1.6]))
    assert far.least_m == pytest.approx(2 * corner * np.tan(np.radians(2.5 / 60)))
    assert "400 m away" in far.words


def test_the_house_is_typed_and_without_one_there_are_four_places() -> None:
    show: Show = SHOW
    assert [p.name for p in house_of(WALL, None).places] == ["front row", "desk", "last row", "side"]
    for key, text in (
        ("house.stage", "100 ft x 12 m x 1.5 m"), ("house.tower-", "Mix tower: 0, 40; 5 x 4 x 6 m"),
        ("house.place-1", "desk: 2, 48; eyes 2.4 m"), ("house.place-3", ""), ("house.bottom", "3"),
    ):  # fmt: skip
        show, _ = apply(show, setup_change(show, key, text)[1])
    house = show.house
    assert house is not None
    assert (house.stage_width_m, house.wall_bottom_m, house.towers[0].depth_m) == (30.48, 3, 4)
    assert [(p.name, p.eye_m) for p in house.places] == [("front row", 1.6), ("desk", 2.4), ("last row", 6)]
    for row in setup_rows(show, {}):
        if row.key.startswith("house") and row.text:
            assert apply(show, setup_change(show, row.key, typed_text(show, row.key))[1])[0] == show, row.key
    with pytest.raises(ChangeError, match="type name: across, away"):
        setup_change(show, "house.place-", "somewhere")
