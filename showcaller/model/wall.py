"""The surfaces (main wall, side screens, a floor, a banner), what feeds them, the looks on them."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from showcaller.model.base import Id, Part, Text
from showcaller.model.house import StagePlace
from showcaller.model.media import FileFacts, Grade, Playback
from showcaller.model.treatments import Treatment

Px = Annotated[int, Field(ge=1, le=100_000)]
PxAt = Annotated[int, Field(ge=0, le=100_000)]
Metres = Annotated[float, Field(gt=0, le=1000)]
Positive = Annotated[float, Field(gt=0, le=100_000)]
NotNegative = Annotated[float, Field(ge=0, le=100_000)]
Beats = Annotated[float, Field(ge=0, le=256)]
Flip = Literal["none", "across", "down", "both"]


class WallInput(Part):
    """One input of the wall: the part of the pixel grid it feeds (px, from the top left).

    ``raster_px`` is the picture that goes down the cable, (width, height), stretched over that part; if it is
    not given, the part's own pixels. ``rotation`` is how far it is turned clockwise on its way to the wall,
    so at 90 and 270 its width runs along the part's height.
    """

    id: Id
    name: Text
    x_px: PxAt
    y_px: PxAt
    width_px: Px
    height_px: Px
    rotation: Literal[0, 90, 180, 270] = 0
    raster_px: tuple[Px, Px] | None = None


class ChannelPool(Part):
    """Processing channels that several surfaces share."""

    id: Id
    name: Text
    channels: Annotated[int, Field(ge=0, le=512)]


class Wall(Part):
    """A surface, the LED wall or another: its size in metres, its pixel grid, its panels and inputs.

    It has ``channels`` of its own, or takes them from a ``pool`` it shares. What follows is for its facts and
    may be left out: the distance of the last row (m), the luminance of its white, its black and the light it
    throws back (cd/m²), what a square metre draws black and at full white (W), the voltage between two phases
    and the power factor of its supply.
    """

    id: Id
    name: Text
    stands: Literal["left", "right", "above", "below"] = "right"
    """Where it is drawn beside the main one, which stands in the middle."""
    place: StagePlace | None = None
    """Where it stands on the stage, for the view from the seats; left out, beside the main one as it is
    drawn, or if that is below it flat on the stage. The main one stands where the house says."""
    width_m: Metres
    height_m: Metres
    width_px: Px
    height_px: Px
    panel_px: tuple[Px, Px]
    inputs: Annotated[tuple[WallInput, ...], Field(min_length=1)]
    channels: Annotated[int, Field(ge=0, le=512)] = 0
    """Processing channels to be had; with a ``pool`` the pool's count instead."""
    pool: Id | None = None
    back_row_m: Metres | None = None
    white_cd_m2: Positive | None = None
    black_cd_m2: NotNegative = 0.0
    ambient_cd_m2: NotNegative = 0.0
    black_w_m2: NotNegative | None = None
    white_w_m2: Positive | None = None
    phase_v: Annotated[float, Field(ge=50, le=1000)] = 400.0
    power_factor: Annotated[float, Field(gt=0.1, le=1)] = 0.95


class Source(Part):
    """A picture that can go on the wall.

    ``media`` is a clip's or a still's file, its path relative to the document, or a camera's device; for a
    camera, a generator or anything live also a file that stands for it and runs on and on. A clip begins at
    its first frame when it comes on the wall and, if it ``loops``, begins again at its end.
    """

    id: Id
    name: Text
    kind: Literal["camera", "clip", "still", "generator", "live"]
    width_px: Px = 1920
    height_px: Px = 1080
    pixel_aspect: Annotated[float, Field(gt=0.1, lt=10)] = 1.0
    media: str | None = None
    loops: bool = True
    file: FileFacts | None = None
    """What the file said when it was last read."""
    grade: Grade | None = None

    def has_shape_of(self, file: FileFacts) -> bool:
        """Whether a file has the source's shape, within a hundredth: an odd row that a codec dropped. A
        smaller copy to plan with has."""
        shown = self.width_px * self.pixel_aspect / self.height_px
        return abs(file.width_px * file.pixel_aspect / file.height_px / shown - 1) < 0.01

    @property
    def read(self) -> FileFacts | None:
        """What is known of the file it has now; None if that was not read yet."""
        return self.file if self.file is not None and self.file.name == self.media else None


class Crop(Part):
    """Fractions of the source cut away at each side."""

    left: Annotated[float, Field(ge=0, lt=1)] = 0.0
    right: Annotated[float, Field(ge=0, lt=1)] = 0.0
    top: Annotated[float, Field(ge=0, lt=1)] = 0.0
    bottom: Annotated[float, Field(ge=0, lt=1)] = 0.0


class SurfacePlace(Part):
    """Where a layer lies on one more surface, and how it is cut there: metres from that surface's left and
    bottom edges; may reach outside."""

    surface: Id
    left_m: float
    bottom_m: float
    width_m: Metres
    height_m: Metres
    crop: Crop = Crop()
    straight: bool = False
    """Passed straight to the inputs it covers, taking no processing channel."""
    flip: Flip = "none"


class Layer(Part):
    """A source placed on a surface: metres from the surface's left and bottom edges; may reach outside.

    It lies on ``surface``, or if none is named on the first, and in the ``also`` places on others, with one
    opacity and one treatment in all of them.
    ``id`` tells two layers of one source apart; without it a layer goes by its source. ``treatments`` are
    applied in order, ``treatment`` is only words. ``soft_edge_m`` is how far inside its edges it is at full
    opacity. It comes on the wall with its look, or ``arrives_after`` beats later, by fading or growing over
    ``arrives_over`` beats.
    """

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
    id: Id | None = None
    treatments: tuple[Treatment, ...] = ()
    flip: Flip = "none"
    soft_edge_m: Annotated[float, Field(ge=0, le=100)] = 0.0
    arrives: Literal["with the look", "fade", "grow"] = "with the look"
    arrives_after: Beats = 0.0
    arrives_over: Beats = 0.0
    plays: Playback | None = None
    surface: Id | None = None
    also: tuple[SurfacePlace, ...] = ()

    @property
    def key(self) -> str:
        """What the layer goes by within its look."""
        return self.id or self.source


class Look(Part):
    """Layers from back to front, by name, used in as many songs as wanted."""

    id: Id
    name: Text
    layers: tuple[Layer, ...] = ()


class Override(Part):
    """A layer of a look, otherwise in one place of the show; what is not given stays as the look has it.

    With a ``surface`` it is the layer's place there that is otherwise (or not there: ``hidden``), and only
    place, crop, flip and ``straight`` may be given.
    """

    layer: Id
    hidden: bool = False
    source: Id | None = None
    left_m: float | None = None
    bottom_m: float | None = None
    width_m: Metres | None = None
    height_m: Metres | None = None
    crop: Crop | None = None
    opacity: Annotated[float, Field(ge=0, le=1)] | None = None
    straight: bool | None = None
    treatments: tuple[Treatment, ...] | None = None
    flip: Flip | None = None
    surface: Id | None = None

    @model_validator(mode="after")
    def _of_a_place(self) -> Self:
        whole = [n for n in ("source", "opacity", "treatments") if getattr(self, n) is not None]
        if self.surface is not None and whole:
            raise ValueError(
                f"{whole[0]} is the whole layer's, not its place's on '{self.surface}'; leave surface out"
            )
        return self


class LookChange(Part):
    """A cue's change of look: which, how, and over how many beats.

    ``ease`` is how the change gathers and loses speed: even, slow at the start, slow at the end, or both.
    ``overrides`` change layers for this place only; each names a layer by its id, or by its source.
    """

    look: Id
    by: Literal["cut", "mix", "move", "wipe"] = "cut"
    beats: Beats = 0.0
    ease: Literal["even", "slow start", "slow end", "slow both"] = "slow both"
    overrides: tuple[Override, ...] = ()
