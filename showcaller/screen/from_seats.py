"""The wall as it is seen from a place of the house: projected, how small text may be, what is hidden. Pure.

Points are (x, y, z) in metres: x from the middle of the wall to the right, y from the wall into the house, z
up from the floor. The picture is that of a pinhole: straight lines stay straight, what is twice as far is
half as large.
"""

from itertools import product
from math import acos, degrees, hypot
from typing import Any

import numpy as np
import numpy.typing as npt

from showcaller.model import House, HousePlace, Wall
from showcaller.screen.facts import EASY_ARC_MIN, LETTER_ARC_MIN, letter_height_m
from showcaller.screen.geometry import pixel_pitch_mm
from showcaller.values import Struct

Points = npt.NDArray[np.float64]
PERSON_M = 1.75
"""How tall the person is that stands on the stage for scale (our choice)."""
NEAR_M = 0.2
"""What is nearer to the eye than this is not drawn."""
_ACROSS, _DOWN = 240, 80
"""Points of the wall that are looked at to say how much is hidden."""


class Block(Struct, frozen=True):
    """A box that stands on the floor: its name, its lower and its upper corner."""

    name: str
    low: tuple[float, float, float]
    high: tuple[float, float, float]


class SeatView(Struct, frozen=True):
    """What is seen from a place.

    ``least_m`` and ``easy_m`` are the heights of letters that can be read at all, and with ease, at the
    wall's farthest corner, ``least_px`` the first in px; ``hidden`` is the share of the wall that something
    stands before; ``angle_deg`` is how far off the wall's middle the place is.
    """

    place: HousePlace
    distance_m: float
    least_m: float
    easy_m: float
    least_px: int
    hidden: float
    by: tuple[str, ...]
    angle_deg: float

    @property
    def words(self) -> str:
        """All of it in one line."""
        off = f", {self.angle_deg:.0f}° off the middle" if self.angle_deg >= 1 else ""
        hidden = f"{self.hidden * 100:.0f} % hidden by {', '.join(self.by)}" if self.by else "nothing hidden"
        return (
            f"{self.place.name}: {self.distance_m:.0f} m away{off} · letters from {self.least_m:.2f} m "
            f"({self.least_px} px), with ease from {self.easy_m:.2f} m · {hidden}"
        )


def house_of(wall: Wall, house: House | None) -> House:
    """The house; where it names no places, four usual ones worked out from the wall (our choice)."""
    house = house or House(stage_width_m=round(min(wall.width_m * 0.8, 400), 2))
    if house.places:
        return house
    far = wall.back_row_m or max(40.0, wall.width_m * 2)
    front = house.stage_depth_m + 3
    places = (
        HousePlace(name="front row", x_m=0, y_m=front),
        HousePlace(name="desk", x_m=0, y_m=round(far * 0.5, 2), eye_m=2.2),
        HousePlace(name="last row", x_m=0, y_m=far, eye_m=6.0),
        HousePlace(name="side", x_m=round(min(wall.width_m * 0.75, 490), 2), y_m=round(far * 0.3, 2)),
    )
    return house.changed(places=places)  # type: ignore[no-any-return]


def wall_corners(wall: Wall, house: House) -> Points:
    """Upper left, upper right, lower right, lower left."""
    half, low, high = wall.width_m / 2, house.wall_bottom_m, house.wall_bottom_m + wall.height_m
    return np.array([(-half, 0, high), (half, 0, high), (half, 0, low), (-half, 0, low)], np.float64)


def blocks_of(house: House) -> tuple[Block, ...]:
    """The stage and the towers."""
    half = house.stage_width_m / 2
    stage = Block("the stage", (-half, 0.0, 0.0), (half, house.stage_depth_m, house.stage_height_m))
    towers = (
        Block(
            t.name,
            (t.x_m - t.width_m / 2, t.y_m - t.depth_m / 2, 0.0),
            (t.x_m + t.width_m / 2, t.y_m + t.depth_m / 2, t.height_m),
        )
        for t in house.towers
    )
    return stage, *towers


def corners(block: Block) -> Points:
    """The eight corners of a box: x, then y, then z, the lower first."""
    return np.array(list(product(*zip(block.low, block.high, strict=True))), np.float64)


def eye_of(place: HousePlace) -> Points:
    """Where the eyes are."""
    return np.array([place.x_m, place.y_m, place.eye_m], np.float64)


def turned(wall: Wall, house: House, place: HousePlace) -> Points:
    """The eye's own axes, a row each: right, down, forward; it looks at the middle of the wall."""
    target = np.array([0, 0, house.wall_bottom_m + wall.height_m / 2])
    forward = target - eye_of(place)
    forward /= np.linalg.norm(forward)
    # x, y and z of the house are left-handed, so that x and y are counted as somebody in it does.
    right = np.cross((0.0, 0.0, 1.0), forward)
    length = np.linalg.norm(right)
    right = np.array([1.0, 0.0, 0.0]) if length < 1e-9 else right / length
    return np.stack([right, np.cross(right, forward), forward])


def focal_px(
    wall: Wall, house: House, place: HousePlace, size: tuple[int, int], also: Points | None = None
) -> float:
    """The focal length at which the whole wall fits into a picture of ``size`` px, a fifth of it to spare,
    and those of the points ``also`` that lie well before the eye."""
    seen = _in_eye(wall, house, place, wall_corners(wall, house))
    if also is not None:
        more = _in_eye(wall, house, place, also)
        # What stands beside the eyes would make all else tiny: it is seen by turning the head.
        wide = np.abs(more[:, :2]).max(1) < 3 * more[:, 2]
        seen = np.concatenate([seen, more[(more[:, 2] > NEAR_M) & wide]])
    ahead = np.maximum(seen[:, 2], NEAR_M)
    across, down = np.abs(seen[:, 0] / ahead).max(), np.abs(seen[:, 1] / ahead).max()
    return float(0.8 * min(size[0] / 2 / max(across, 1e-6), size[1] / 2 / max(down, 1e-6)))


def _in_eye(wall: Wall, house: House, place: HousePlace, points: Points) -> Points:
    seen: Points = (points - eye_of(place)) @ turned(wall, house, place).T
    return seen


def projected(
    wall: Wall,
    house: House,
    place: HousePlace,
    points: Points,
    size: tuple[int, int],
    focal: float | None = None,
) -> tuple[Points, npt.NDArray[np.bool_]]:
    """Points in the picture, px from its upper left corner; and which of them lie before the eye. With the
    wall's own focal length, if no other is given."""
    seen = _in_eye(wall, house, place, points)
    ahead = seen[:, 2] > NEAR_M
    focal = focal_px(wall, house, place, size) if focal is None else focal
    depth = np.where(ahead, seen[:, 2], 1.0)
    middle = np.array([size[0] / 2, size[1] / 2])
    return seen[:, :2] / depth[:, None] * focal + middle, ahead


def hidden_share(wall: Wall, house: House, place: HousePlace) -> tuple[float, tuple[str, ...]]:
    """(the share of the wall that something stands before, what does)."""
    half = wall.width_m / 2
    xs = (np.arange(_ACROSS) + 0.5) / _ACROSS * wall.width_m - half
    zs = (np.arange(_DOWN) + 0.5) / _DOWN * wall.height_m + house.wall_bottom_m
    return hidden_points(house, eye_of(place), np.array([(x, 0.0, z) for z in zs for x in xs]))


def hidden_points(house: House, eye: Points, points: Points) -> tuple[float, tuple[str, ...]]:
    """(the share of the points that something stands before, what does)."""
    hidden, by = np.zeros(len(points), bool), []
    for block in blocks_of(house):
        mine = _between(eye, points, block)
        if mine.mean() >= 0.005:
            by.append(block.name)
        hidden |= mine
    return float(hidden.mean()), tuple(by)


def _between(eye: Points, points: Points, block: Block) -> npt.NDArray[np.bool_]:
    """Whether a box lies on the straight line from the eye to each point (by its slabs)."""
    way = points - eye
    with np.errstate(divide="ignore", invalid="ignore"):
        a, b = (np.array(block.low) - eye) / way, (np.array(block.high) - eye) / way
    enter, leave = np.nanmax(np.minimum(a, b), 1), np.nanmin(np.maximum(a, b), 1)
    inside = np.where(way == 0, (np.array(block.low) <= eye) & (eye <= np.array(block.high)), True).all(1)
    found: Any = inside & (enter < leave) & (enter < 1 - 1e-6) & (leave > 1e-6)
    return np.asarray(found, bool)


def seat_view(wall: Wall, house: House, place: HousePlace) -> SeatView:
    """What can be said of a place."""
    eye, pitch = eye_of(place), pixel_pitch_mm(wall)
    farthest = max(float(np.linalg.norm(c - eye)) for c in wall_corners(wall, house))
    least, easy = (letter_height_m(farthest, arc, pitch) for arc in (LETTER_ARC_MIN, EASY_ARC_MIN))
    hidden, by = hidden_share(wall, house, place)
    off = degrees(acos(min(1.0, place.y_m / max(1e-9, hypot(place.x_m, place.y_m)))))
    return SeatView(
        place, hypot(place.x_m, place.y_m), least, easy, round(least * 1000 / pitch), hidden, by, off
    )


def width_deg(wall: Wall, house: House, place: HousePlace) -> float:
    """How wide the wall is seen, in degrees."""
    left, right = wall_corners(wall, house)[[3, 2]] - eye_of(place)
    cosine = float(left @ right / (np.linalg.norm(left) * np.linalg.norm(right)))
    return degrees(acos(max(-1.0, min(1.0, cosine))))
