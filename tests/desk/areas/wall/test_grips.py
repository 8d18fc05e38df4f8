"""Layers taken by the mouse: what is held, and where the layer lies then."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from wall_show import wall_show

from showcaller.desk.areas.wall.grips import (
    LEAST_M,
    Box,
    Grip,
    Lines,
    box_of,
    dragged,
    fitted,
    grip_at,
    layer_at,
    lines_of,
    placed,
)
from showcaller.screen.measures import size_text

BOX = Box(10, 2, 8, 4)
SHOW = wall_show()
FAR = st.floats(-60, 60)
GRIPS = [Grip(a, u) for a in (-1, 0, 1) for u in (-1, 0, 1)]


@pytest.mark.parametrize(
    ("x", "y", "grip"),
    [
        (14, 4, Grip()),
        (10.1, 4, Grip(-1, 0)),
        (18, 6.1, Grip(1, 1)),
        (14, 1.9, Grip(0, -1)),
        (9.9, 2, Grip(-1, -1)),
    ],
)
def test_what_is_under_the_mouse(x: float, y: float, grip: Grip) -> None:
    assert grip_at(BOX, x, y, 0.2) == grip


def test_nothing_is_held_outside() -> None:
    assert grip_at(BOX, 9.7, 4, 0.2) is None


def test_the_front_layer_is_the_one_that_is_clicked() -> None:
    wide = next(k for k in SHOW.looks if k.id == "wide")
    assert layer_at(wide.layers, 20, 5) == 1
    assert layer_at(wide.layers, 2, 5) == 0
    assert layer_at(wide.layers, 41, 5) is None


@given(st.sampled_from(GRIPS), FAR, FAR, st.none() | st.floats(0.2, 5))
def test_whatever_the_hand_does_the_layer_stays_a_layer_and_the_other_edge_stays_put(
    grip: Grip, dx: float, dy: float, aspect: float | None
) -> None:
    made = dragged(BOX, grip, dx, dy, aspect, Lines(), 0)
    assert made.width > 0
    assert made.height > 0
    if grip == Grip():
        assert (made.width, made.height) == (BOX.width, BOX.height)
        assert (made.left, made.bottom) == pytest.approx((10 + dx, 2 + dy))
        return
    if aspect is not None:
        assert made.width / made.height == pytest.approx(aspect)
    else:
        assert made.width >= LEAST_M - 1e-9
    if grip.across < 0:
        assert made.right == pytest.approx(BOX.right)
    if grip.across > 0:
        assert made.left == pytest.approx(BOX.left)
    if grip.up < 0:
        assert made.top == pytest.approx(BOX.top)
    if grip.up > 0:
        assert made.bottom == pytest.approx(BOX.bottom)


def test_edges_lie_on_the_lines_of_the_wall() -> None:
    wall = SHOW.wall
    assert wall is not None
    lines = lines_of(wall, ())
    assert lines.across == (0, 10, 20, 30, 40)
    assert dragged(BOX, Grip(), -0.3, 0, None, lines, 0.5).left == 10
    assert dragged(BOX, Grip(), 1.8, 0, None, lines, 0.5).right == 20
    assert dragged(BOX, Grip(1, 0), 1.8, 0, None, lines, 0.5).right == 20
    assert dragged(BOX, Grip(1, 0), 1.2, 0, None, lines, 0.5).right == pytest.approx(19.2)


def test_a_corner_keeps_the_pictures_shape_and_undistorting_gives_it() -> None:
    wide = next(k for k in SHOW.looks if k.id == "wide")
    camera = next(s for s in SHOW.sources if s.id == "cam-1")
    made = dragged(box_of(wide.layers[1]), Grip(1, 1), 6, 0, 16 / 9, Lines(), 0)
    assert (made.width, made.height) == (pytest.approx(16), pytest.approx(9))
    squashed = wide.layers[1].changed(height_m=2.0)
    assert fitted(squashed, camera).height == pytest.approx(5.625)
    assert placed(Box(1.00049, 2, 3, 4))["left_m"] == 1.0005
    # A third of 172 ft is 57 ft 4 in; the foot is 0.3048 m exactly (NIST Special Publication 811, B.8).
    third = placed(Box(0, 0, 172 * 0.3048 / 3, 62 * 0.3048))
    assert size_text(third["width_m"], third["height_m"], "ft") == "57'4\" × 62'"
