"""The wall, what feeds it, and the looks composed on it."""

from typing import Annotated, Literal

from pydantic import Field

from showcaller.model.base import Id, Part, Text

Px = Annotated[int, Field(ge=1, le=100_000)]
PxAt = Annotated[int, Field(ge=0, le=100_000)]
Metres = Annotated[float, Field(gt=0, le=1000)]


class WallInput(Part):
    """One input of the wall: the part of the pixel grid it feeds (px, from the top left)."""

    id: Id
    name: Text
    x_px: PxAt
    y_px: PxAt
    width_px: Px
    height_px: Px


class Wall(Part):
    """The LED wall: its size in metres, its pixel grid, its panels and inputs."""

    width_m: Metres
    height_m: Metres
    width_px: Px
    height_px: Px
    panel_px: tuple[Px, Px]
    inputs: Annotated[tuple[WallInput, ...], Field(min_length=1)]
    channels: Annotated[int, Field(ge=0, le=512)]
    """Processing channels to be had."""


class Source(Part):
    """A picture that can go on the wall."""

    id: Id
    name: Text
    kind: Literal["camera", "clip", "still", "generator", "live"]
    width_px: Px = 1920
    height_px: Px = 1080
    pixel_aspect: Annotated[float, Field(gt=0.1, lt=10)] = 1.0
    media: str | None = None


class Crop(Part):
    """Fractions of the source cut away at each side."""

    left: Annotated[float, Field(ge=0, lt=1)] = 0.0
    right: Annotated[float, Field(ge=0, lt=1)] = 0.0
    top: Annotated[float, Field(ge=0, lt=1)] = 0.0
    bottom: Annotated[float, Field(ge=0, lt=1)] = 0.0


class Layer(Part):
    """A source placed on the wall: metres from the wall's left and bottom edges; may reach outside."""

    source: Id
    left_m: float
    bottom_m: float
    width_m: Metres
    height_m: Metres
    crop: Crop = Crop()
    opacity: Annotated[float, Field(ge=0, le=1)] = 1.0
    straight: bool = False
    """Passed straight to the inputs it covers, taking no processing channel."""
    treatment: Text | None = None


class Look(Part):
    """Layers from back to front, by name, used in as many songs as wanted."""

    id: Id
    name: Text
    layers: tuple[Layer, ...] = ()


class LookChange(Part):
    """A cue's change of look: which, how, and over how many beats."""

    look: Id
    by: Literal["cut", "mix", "move", "wipe"] = "cut"
    beats: Annotated[float, Field(ge=0, le=256)] = 0.0
