"""From the seats: the projection against OpenCV's, what is hidden against similar triangles, lines typed."""

from math import atan2, degrees

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from surface_show import surface_show
from wall_show import wall_show

from showcaller.editing import ChangeError, apply
from showcaller.model import House, HousePlace, Show, StagePlace, Tower
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
from showcaller.screen.on_stage import corners_at, on_stage, seen_from
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


@settings(max_examples=60)
@given(
    st.floats(-60, 60), st.floats(8, 150), st.floats(0.5, 30), st.floats(-40, 40), st.floats(-3, 6),
    st.floats(0, 12), st.floats(-80, 80), st.booleans(),
)  # fmt: skip
def test_a_second_surface_is_where_opencv_puts_it(
    x: float, y: float, eye: float, at_x: float, at_y: float, up: float, facing: float, flat: bool
) -> None:
    """Its own plane turned and moved by OpenCV's ``composeRT``, then by its ``projectPoints``."""
    side = surface_show().surfaces[1]
    stands = StagePlace(x_m=at_x, y_m=at_y, bottom_m=up, facing_deg=facing, flat=flat)
    place = HousePlace(name="here", x_m=x, y_m=y, eye_m=eye)
    focal = 900.0
    found, ahead = projected(WALL, FLAT, place, corners_at(side, stands), SIZE, focal)
    half, high = side.width_m / 2, side.height_m
    own = np.array([(-half, 0, high), (half, 0, high), (half, 0, 0), (-half, 0, 0)])
    lying = np.array([np.pi / 2 if flat else 0.0, 0.0, 0.0])  # about x, its upper edge away from the house
    # OpenCV's house is right-handed: its y runs away from the audience.
    turned, moved = np.array([0.0, 0.0, np.radians(facing)]), np.array([at_x, -at_y, up])
    eye_at, target = eye_of(place) * (1, -1, 1), np.array([0, 0, FLAT.wall_bottom_m + WALL.height_m / 2])
    forward = (target - eye_at) / np.linalg.norm(target - eye_at)
    right = np.cross(forward, (0, 0, 1))
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(forward, right), forward])
    column = [v.reshape(3, 1) for v in (-lying, np.zeros(3), turned, moved, -turn @ eye_at)]
    r1, t1 = cv2.composeRT(*column[:4])[:2]
    r2, t2 = cv2.composeRT(r1, t1, cv2.Rodrigues(turn)[0], column[4])[:2]
    matrix = np.array([[focal, 0, SIZE[0] / 2], [0, focal, SIZE[1] / 2], [0, 0, 1]])
    wanted = cv2.projectPoints(own, r2, t2, matrix, None)[0][:, 0]
    assert found[ahead] == pytest.approx(wanted[ahead], abs=1e-2, rel=1e-5)


def test_every_surface_has_its_place_and_one_that_is_not_given_is_said_to_be_ours() -> None:
    show = surface_show()
    main, left, right, banner = on_stage(show)
    assert (main.corners == wall_corners(main.wall, house_of(main.wall, None))).all()
    assert left.middle[0] == pytest.approx(-right.middle[0])
    assert left.corners[1][0] < main.corners[0][0], "clear of the main wall"
    assert banner.corners[3][2] > main.corners[0][2]
    assert not left.stated
    eye = np.array([0.0, 40.0, 1.6])
    said = seen_from(show, eye, left)
    assert "its place is not given" in said.words
    show, _ = apply(show, setup_change(show, "wall.place@left", "-28, 1, 3.5 m; facing right 20")[1])
    left = on_stage(show)[1]
    assert left.stated
    assert left.seen_from(eye)
    assert left.corners[0] == pytest.approx(
        (-28 - 3 * np.cos(np.radians(20)), 1 + 3 * np.sin(np.radians(20)), 11.5)
    )
    assert typed_text(show, "wall.place@left") == "-28.00, 1.00, 3.50 m; facing right 20"
    assert "not given" not in seen_from(show, eye, left).words
    away, _ = apply(show, setup_change(show, "wall.place@left", "-28, 1, 3.5 m; facing left 170")[1])
    assert seen_from(away, eye, on_stage(away)[1]).words == "Side left: its picture faces away from here"
    # A floor lies on the stage: who stands lower than it sees none of it.
    floor, _ = apply(show, setup_change(show, "surface+", "Floor: 10 x 4 m, 500 x 200 px, below")[1])
    lies = on_stage(floor)[-1]
    assert not lies.upright
    assert lies.seen_from(np.array([0.0, 40.0, 6.0]))
    assert not lies.seen_from(np.array([0.0, 15.0, 1.6]))
    with pytest.raises(ChangeError, match=r"after where it stands may come .*; not 'sideways'"):
        setup_change(show, "wall.place@left", "-28, 1, 3.5 m; sideways")
