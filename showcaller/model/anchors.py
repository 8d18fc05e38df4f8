"""What a cue hangs on."""

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from showcaller.model.base import Id, Part, Text
from showcaller.model.quantities import Beat, Seconds

TimecodeText = Annotated[str, StringConstraints(pattern=r"^\d\d:[0-5]\d:[0-5]\d[:;]\d\d$")]
"""``hh:mm:ss:ff``; a semicolon before the frames is read as a colon (the show's rate says drop or not)."""


class BarAnchor(Part):
    """A bar and beat of a song with tempo."""

    at: Literal["bar"]
    bar: Annotated[int, Field(ge=1, le=9999)]
    beat: Beat = Fraction(1)


class TimeAnchor(Part):
    """Seconds into the item."""

    at: Literal["time"]
    seconds: Seconds


class TimecodeAnchor(Part):
    """A timecode in the show's rate, counted from the song's own timecode start."""

    at: Literal["timecode"]
    timecode: TimecodeText


class AfterAnchor(Part):
    """After another cue has fired, plus a delay: a follow-on."""

    at: Literal["after"]
    cue: Id
    delay_s: Seconds = Fraction(0)


class VisualAnchor(Part):
    """Something seen, in words; fired by eye. ``expect_s`` is only a guess for planning."""

    at: Literal["visual"]
    sees: Text
    expect_s: Seconds | None = None


class WordAnchor(Part):
    """A word of a line of the song's lyrics, counted from 1; called by ear, as it is sung."""

    at: Literal["word"]
    line: Id
    word: Annotated[int, Field(ge=1, le=400)] = 1


Anchor = Annotated[
    BarAnchor | TimeAnchor | TimecodeAnchor | AfterAnchor | VisualAnchor | WordAnchor,
    Field(discriminator="at"),
]

BY_EAR_OR_EYE: frozenset[str] = frozenset({"visual", "word"})
"""Kinds (``at``) of what only a person can see or hear: always called, never firm."""
