"""What a source's file says of itself, how a clip is played, how a source's colours are set."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from showcaller.model.base import Part, Text

Rate = Annotated[str, StringConstraints(pattern=r"^[1-9]\d{0,6}(/[1-9]\d{0,6})?$")]
"""Frames a second, exact: ``25``, ``30000/1001``."""


class FileFacts(Part):
    """What a media file said when it was read. ``mark`` tells whether it is still the same file.

    ``rate`` and ``length_s`` are of moving pictures only; ``matrix`` and ``codec`` are named as FFmpeg names
    them (``bt709``, ``h264``).
    """

    name: Text
    mark: Annotated[str, StringConstraints(pattern=r"^\d+-[0-9a-f]{16}$")]
    width_px: Annotated[int, Field(ge=1, le=100_000)]
    height_px: Annotated[int, Field(ge=1, le=100_000)]
    pixel_aspect: Annotated[float, Field(gt=0.1, lt=10)] = 1.0
    rate: Rate | None = None
    length_s: Annotated[float, Field(ge=0, le=1_000_000)] | None = None
    codec: Text
    alpha: bool = False
    colour_range: Literal["limited", "full", "not said"] = "not said"
    matrix: Text = "not said"
    sound: bool = False
    loudness_lufs: Annotated[float, Field(ge=-70, le=20)] | None = None
    """Of its first sound track, integrated (EBU R 128, ITU-R BS.1770); −70 where nothing is heard; None: not
    measured, or no sound."""

    @property
    def loudness_words(self) -> str:
        """``−23.0 LUFS``; empty where it is not known."""
        if self.loudness_lufs is None:
            return ""
        return "silent" if self.loudness_lufs <= -70 else f"{self.loudness_lufs:.1f} LUFS".replace("-", "−")


class Playback(Part):
    """How a clip is played in a layer.

    It begins ``in_s`` into the file and runs at ``speed`` times its own, or so that it is through once in
    ``fit_bars`` bars of the song's tempo. ``at_end``: it begins again, or holds its last frame; left out, as
    the source says. ``begins``: anew only where the look before did not have it, in every look, or it runs on
    from the item's start whether it is seen or not.
    """

    in_s: Annotated[float, Field(ge=0, le=100_000)] = 0.0
    speed: Annotated[float, Field(gt=0, le=16)] = 1.0
    at_end: Literal["loop", "hold"] | None = None
    fit_bars: Annotated[float, Field(gt=0, le=4096)] | None = None
    begins: Literal["if new", "anew", "runs on"] = "if new"


class Grade(Part):
    """A source's colours set so that cameras match, on R'G'B' values from 0 to 1, in this order.

    ``black`` becomes 0 and ``white`` becomes 1, what lies between is raised to 1/``gamma``; then colours are
    driven from grey (BT.709 luma) ``saturation`` times as far.
    """

    black: Annotated[float, Field(ge=-0.5, le=0.5)] = 0.0
    white: Annotated[float, Field(ge=0.2, le=2)] = 1.0
    gamma: Annotated[float, Field(ge=0.2, le=5)] = 1.0
    saturation: Annotated[float, Field(ge=0, le=4)] = 1.0

    @model_validator(mode="after")
    def _white_over_black(self) -> "Grade":
        if self.white - self.black < 0.1:
            raise ValueError(f"white ({self.white:g}) must be at least 0.1 above black ({self.black:g})")
        return self
