"""What can be done to a layer's picture on its way to the wall. Applied in the order they are listed."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from showcaller.model.base import Part

Colour = Annotated[str, StringConstraints(pattern=r"^#[0-9A-Fa-f]{6}$")]
"""``#RRGGBB``, sRGB."""

Unit = Annotated[float, Field(ge=0, le=1)]
"""0 to 1."""


class Tint(Part):
    """Two colours: black becomes ``dark``, white becomes ``light``, what lies between a mix of both."""

    kind: Literal["tint"]
    dark: Colour = "#000000"
    light: Colour = "#FFFFFF"


class Posterize(Part):
    """So many levels in each of red, green and blue; black stays black and white stays white."""

    kind: Literal["posterize"]
    levels: Annotated[int, Field(ge=2, le=64)] = 4


class Monochrome(Part):
    """Colour taken away, by the luma weights of ITU-R BT.709; 1 takes all of it."""

    kind: Literal["monochrome"]
    amount: Unit = 1.0


class Contrast(Part):
    """Values driven away from ``pivot`` (0 to 1) ``amount`` times as far; below 1 it flattens."""

    kind: Literal["contrast"]
    amount: Annotated[float, Field(ge=0, le=8)] = 1.5
    pivot: Unit = 0.5


class LumaKey(Part):
    """Seen only where it is brighter (or darker) than ``cut``, over a ramp ``soft`` wide around it."""

    kind: Literal["luma key"]
    keep: Literal["bright", "dark"] = "bright"
    cut: Unit = 0.25
    soft: Annotated[float, Field(ge=0.004, le=1)] = 0.1


class ColourKey(Part):
    """A colour made transparent: wholly up to ``near`` from it in the chroma plane, no more from ``far``."""

    kind: Literal["colour key"]
    colour: Colour = "#00B140"
    near: Annotated[float, Field(ge=0, le=0.8)] = 0.12
    far: Annotated[float, Field(gt=0, le=1)] = 0.24


class Blur(Part):
    """Gaussian; ``radius`` is its standard deviation as a part of the layer's height."""

    kind: Literal["blur"]
    radius: Annotated[float, Field(gt=0, le=0.2)] = 0.02


class Mirror(Part):
    """Tiles side by side, each the mirror image of its neighbour."""

    kind: Literal["mirror"]
    across: Annotated[int, Field(ge=1, le=12)] = 2
    down: Annotated[int, Field(ge=1, le=12)] = 1


Treatment = Annotated[
    Tint | Posterize | Monochrome | Contrast | LumaKey | ColourKey | Blur | Mirror,
    Field(discriminator="kind"),
]
