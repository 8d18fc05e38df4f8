"""Timecode coming in: where it is heard, and how the song's clock follows it."""

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from showcaller.model.base import Part, Text
from showcaller.model.quantities import Seconds, format_number

_LONGEST_S = 60


def _short(value: Fraction) -> Fraction:
    if value > _LONGEST_S:
        raise ValueError(f"{format_number(value)} s is too long here; give 0 to {_LONGEST_S} s")
    return value


ShortSeconds = Annotated[Seconds, AfterValidator(_short)]
"""0 to 60 seconds."""


class Chasing(Part):
    """How timecode is followed (common practice, no source).

    ``lock_frames`` frames must agree before a place is believed. Without code the clock runs on by itself for
    ``freewheel_s``, then stands. A move of the clock by more than ``ask_over_s`` is asked about first.
    """

    lock_frames: Annotated[int, Field(ge=2, le=50)] = 4
    freewheel_s: ShortSeconds = Fraction(2)
    ask_over_s: ShortSeconds = Fraction(1)


class MtcIn(Part):
    """MIDI Time Code at a MIDI input, found by the words in its name."""

    kind: Literal["mtc"]
    port: Text
    chase: Chasing = Chasing()


class LtcIn(Part):
    """Linear timecode at a sound input, found by the words in its name; ``channel`` counts from 1.

    ``wav:PATH`` plays a sound file instead, for rehearsals: from its start, when the engine opens.
    """

    kind: Literal["ltc"]
    device: Text
    channel: Annotated[int, Field(ge=1, le=256)] = 1
    chase: Chasing = Chasing()


TimecodeIn = Annotated[MtcIn | LtcIn, Field(discriminator="kind")]
