"""A house in a few numbers: what stands before the wall, and from where one looks at it.

Everything in metres: ``x_m`` from the middle of the wall to the right as the audience sees it, ``y_m`` from
the wall into the house.
"""

from typing import Annotated

from pydantic import Field

from showcaller.model.base import Part, Text

Across = Annotated[float, Field(ge=-500, le=500)]
Away = Annotated[float, Field(ge=0, le=1000)]
Height = Annotated[float, Field(ge=0, le=200)]
Extent = Annotated[float, Field(gt=0, le=500)]


class Tower(Part):
    """Something solid before the wall: a delay tower, a mixing position, a screen's leg."""

    name: Text
    x_m: Across
    y_m: Away
    width_m: Extent = 3.0
    depth_m: Extent = 3.0
    height_m: Extent = 12.0


class HousePlace(Part):
    """Where somebody's eyes are, ``eye_m`` above the floor."""

    name: Text
    x_m: Across
    y_m: Away
    eye_m: Height = 1.6


class StagePlace(Part):
    """Where a surface stands: the middle of its lower edge, ``bottom_m`` above the house's floor.

    ``facing_deg`` is how far it is turned from facing straight into the house, to the right as the audience
    sees it. One that is ``flat`` lies with its picture up, its lower edge towards the house.
    """

    x_m: Across
    y_m: Annotated[float, Field(ge=-500, le=1000)] = 0.0
    bottom_m: Height
    facing_deg: Annotated[float, Field(ge=-180, le=180)] = 0.0
    flat: bool = False


class House(Part):
    """The stage before the wall, what stands in the house, from where it is looked at."""

    wall_bottom_m: Height = 2.5
    """Of the wall's lower edge above the floor."""
    stage_width_m: Extent = 30.0
    stage_depth_m: Extent = 12.0
    stage_height_m: Height = 1.8
    towers: tuple[Tower, ...] = ()
    places: tuple[HousePlace, ...] = ()
