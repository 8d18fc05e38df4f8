"""A song's tempo as written: marks of tempo and meter, and named sections."""

from fractions import Fraction
from typing import Annotated

from pydantic import Field, StringConstraints

from showcaller.model.base import Part, Text
from showcaller.model.quantities import Beat, Bpm

BarNumber = Annotated[int, Field(ge=1, le=9999)]
MeterText = Annotated[str, StringConstraints(pattern=r"^([1-9]|[1-5][0-9]|6[0-4])/(1|2|4|8|16|32|64)$")]


class TempoMark(Part):
    """A tempo from a bar and beat on, in quarter notes a minute.

    With ``ramp`` the tempo changes evenly in time from here to the next mark, as a conductor's accelerando
    does against the clock.
    """

    bar: BarNumber
    beat: Beat = Fraction(1)
    bpm: Bpm
    ramp: bool = False


class MeterMark(Part):
    """A meter from the start of a bar on, e.g. ``7/8``."""

    bar: BarNumber
    meter: MeterText


class Section(Part):
    """A named stretch of the song, from its first bar to the next section.

    A ``vamp`` is repeated until the caller's word to go on.
    """

    name: Text
    bar: BarNumber
    vamp: bool = False
