"""Where every surface stands in the house: as the show says, else beside the main one as it is drawn. Pure.

Points as in ``from_seats``: x to the right, y from the main wall into the house, z up from the floor, metres.
"""

from math import cos, radians, sin

import numpy as np

from showcaller.model import House, Show, StagePlace, Wall
from showcaller.screen.facts import LETTER_ARC_MIN, letter_height_m
from showcaller.screen.from_seats import Points, hidden_points, house_of, wall_corners
from showcaller.screen.geometry import pixel_pitch_mm
from showcaller.screen.spread import spread_of
from showcaller.values import Struct

_ACROSS, _DOWN = 120, 60
"""Points of a surface that are looked at to say how much is hidden."""


class OnStage(Struct, frozen=True):
    """A surface with its corners: upper left, upper right, lower right, lower left as its picture lies."""

    wall: Wall
    corners: Points
    stated: bool
    """Whether the show says where it stands; if not this is a default of ours."""

    @property
    def middle(self) -> Points:
        """Its middle."""
        made: Points = self.corners.mean(0)
        return made

    @property
    def upright(self) -> bool:
        """Whether it does not lie flat."""
        return bool(abs(self.corners[0, 2] - self.corners[3, 2]) > 1e-9)

    def seen_from(self, eye: Points) -> bool:
        """Whether the side with the picture is towards the eye."""
        down, right = self.corners[3] - self.corners[0], self.corners[1] - self.corners[0]
        # The house's axes are left-handed: down × right points out of the picture.
        return float(np.cross(right, down) @ (eye - self.middle)) > 1e-9


class SurfaceSeen(Struct, frozen=True):
    """What can be said of a further surface from a place: letters that can be read, and what is hidden."""

    name: str
    least_m: float
    least_px: int
    hidden: float
    by: tuple[str, ...]
    behind: bool
    stated: bool

    @property
    def words(self) -> str:
        """``Side left: letters from 0.12 m (12 px) · 8 % hidden by the stage``."""
        if self.behind:
            return f"{self.name}: its picture faces away from here"
        hidden = f"{self.hidden * 100:.0f} % hidden by {', '.join(self.by)}" if self.by else "nothing hidden"
        where = "" if self.stated else " · its place is not given, the usual one is taken"
        return f"{self.name}: letters from {self.least_m:.2f} m ({self.least_px} px) · {hidden}{where}"


def usual_place(show: Show, surface: Wall, house: House) -> StagePlace:
    """Where a surface stands that is not said to stand anywhere: beside or above the main wall, in its plane,
    as it is drawn; one that is drawn below lies flat on the stage before it (our choice)."""
    main, spread = show.surfaces[0], spread_of(show)
    if surface.stands == "below":
        reach = round(surface.height_m + 1, 3)
        return StagePlace(x_m=0, y_m=reach, bottom_m=house.stage_height_m, flat=True)
    (x0, y0), (x1, y1) = spread.off_m[main.id], spread.off_m[surface.id]
    across = x1 - x0 + surface.width_m / 2 - main.width_m / 2
    up = max(0.0, house.wall_bottom_m + y1 - y0)
    return StagePlace(x_m=round(max(-500, min(500, across)), 3), bottom_m=round(min(200, up), 3))


def corners_at(surface: Wall, place: StagePlace) -> Points:
    """Upper left, upper right, lower right, lower left."""
    turn = radians(place.facing_deg)
    out = np.array([sin(turn), cos(turn), 0.0])
    right = np.array([cos(turn), -sin(turn), 0.0]) * surface.width_m / 2
    up = (-out if place.flat else np.array([0.0, 0.0, 1.0])) * surface.height_m
    low = np.array([place.x_m, place.y_m, place.bottom_m])
    return np.array([low - right + up, low + right + up, low + right, low - right])


def on_stage(show: Show) -> tuple[OnStage, ...]:
    """All surfaces where they stand, the main one first."""
    main = show.surfaces[0]
    house = house_of(main, show.house)
    made = [OnStage(main, wall_corners(main, house), True)]
    for surface in show.surfaces[1:]:
        place = surface.place or usual_place(show, surface, house)
        made.append(OnStage(surface, corners_at(surface, place), surface.place is not None))
    return tuple(made)


def seen_from(show: Show, eye: Points, one: OnStage) -> SurfaceSeen:
    """What can be said of a surface from a place."""
    pitch = pixel_pitch_mm(one.wall)
    farthest = max(float(np.linalg.norm(c - eye)) for c in one.corners)
    least = letter_height_m(farthest, LETTER_ARC_MIN, pitch)
    across, down = np.meshgrid((np.arange(_ACROSS) + 0.5) / _ACROSS, (np.arange(_DOWN) + 0.5) / _DOWN)
    left_up, right_up, _, left_low = one.corners
    points = (
        left_up + across.reshape(-1, 1) * (right_up - left_up) + down.reshape(-1, 1) * (left_low - left_up)
    )
    hidden, by = hidden_points(house_of(show.surfaces[0], show.house), eye, points)
    behind = not one.seen_from(eye)
    return SurfaceSeen(
        one.wall.name, least, round(least * 1000 / pitch), 1.0 if behind else hidden, by, behind, one.stated
    )
