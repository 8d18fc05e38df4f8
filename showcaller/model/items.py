"""Items of the running order: songs, talks, walk-ons, changeovers, intervals."""

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from showcaller.model.anchors import TimecodeText
from showcaller.model.base import Id, Part, Text
from showcaller.model.cameras import CameraShot
from showcaller.model.cues import Cue
from showcaller.model.lyrics import Lyrics
from showcaller.model.quantities import Length, Seconds
from showcaller.model.tempo import MeterMark, Section, TempoMark


class BaseItem(Part):
    """What every item has. ``shortest_s`` and ``longest_s`` bound the planned length, if known.

    ``out`` keeps an item in the book without playing it tonight. ``instead_of`` names the item it stands in
    for: of an item and its alternates one is played, the others are out. ``doubts`` has a sentence for each
    thing an import was not sure of, until somebody confirms it.
    """

    kind: str
    id: Id
    name: Text
    length_s: Length
    shortest_s: Length | None = None
    longest_s: Length | None = None
    cuttable: bool = False
    out: bool = False
    instead_of: Id | None = None
    notes: str = ""
    doubts: tuple[Text, ...] = ()


class Song(BaseItem):
    """A song. No tempo marks: free of tempo, called by eye and clock.

    ``downbeat_s`` is where bar 1 beat 1 falls after the item's start (a count-in, a held chord);
    ``timecode_start`` is the code that runs at the item's start. ``reference`` is an audio or video file,
    its path relative to the document, that is ``reference_at_s`` in at the item's start.
    """

    kind: Literal["song"]
    tempo: tuple[TempoMark, ...] = ()
    meters: tuple[MeterMark, ...] = ()
    sections: tuple[Section, ...] = ()
    downbeat_s: Seconds = Fraction(0)
    timecode_start: TimecodeText | None = None
    reference: Text | None = None
    reference_at_s: Seconds = Fraction(0)
    lyrics: Lyrics = ()
    shots: tuple[CameraShot, ...] = ()
    """What each camera has when."""
    cues: tuple[Cue, ...] = ()


class Talk(BaseItem):
    """Spoken from the stage."""

    kind: Literal["talk"]
    cues: tuple[Cue, ...] = ()


class WalkOn(BaseItem):
    """Someone leads the artist through a cleared route."""

    kind: Literal["walk-on"]
    route: Id | None = None
    cues: tuple[Cue, ...] = ()


class Changeover(BaseItem):
    """The stage changes."""

    kind: Literal["changeover"]
    cues: tuple[Cue, ...] = ()


class Interval(BaseItem):
    """The house is out."""

    kind: Literal["interval"]
    cues: tuple[Cue, ...] = ()


Item = Annotated[Song | Talk | WalkOn | Changeover | Interval, Field(discriminator="kind")]
