"""Who is called, who clears, who walks."""

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from showcaller.model.base import Id, Part, Text
from showcaller.model.cue_lights import CueLight
from showcaller.model.quantities import Length, Seconds
from showcaller.model.reports import DeskReport

Shape = Literal["circle", "square", "diamond", "triangle", "bar", "hexagon", "cross", "pentagon"]
Hue = Literal["yellow", "sky", "orange", "white", "pink", "green", "blue", "vermilion"]
"""Names in the theme's palette (Okabe–Ito hues, lifted to read on a dark ground)."""


SEEN_WITHIN_S = Fraction(2)
"""How long a cue may take to be seen at its desk, if the show says nothing else (common practice, no source).
"""


class Department(Part):
    """A department: a voice on the headset, a lane in the book, a shape everywhere.

    ``says`` is how it is spoken if not as its name; ``reaction_s`` is the time from hearing *go* to the
    thing happening, known from rehearsal. ``reports`` is how its desk tells that a cue has happened; one that
    is not told of ``seen_within_s`` after its go is said to be not seen. ``cue_light`` is its lamp, if it has
    one.
    """

    id: Id
    name: Text
    letters: Annotated[str, StringConstraints(min_length=1, max_length=4)]
    shape: Shape
    hue: Hue
    says: Text | None = None
    reaction_s: Seconds = Fraction(0)
    reports: tuple[DeskReport, ...] = ()
    seen_within_s: Length = SEEN_WITHIN_S
    cue_light: CueLight = CueLight()

    @property
    def spoken(self) -> str:
        """The name as the caller says it."""
        return self.says or self.name


class YesClearance(Part):
    """A yes from a named position."""

    kind: Literal["yes"]
    id: Id
    name: Text
    position: Text


class ReadingClearance(Part):
    """A reading that must be at or under a limit, or at or over it (``at least``: a lightning's distance),
    and young enough; the limit is the engineer's, or the venue's plan's."""

    kind: Literal["reading"]
    id: Id
    name: Text
    position: Text
    unit: Text
    limit: float
    side: Literal["at most", "at least"] = "at most"
    stale_after_s: Length
    source: Text

    def holds(self, value: float) -> bool:
        """Whether a reading keeps to the limit."""
        return value <= self.limit if self.side == "at most" else value >= self.limit

    @property
    def limit_words(self) -> str:
        """``limit 9 m/s``, ``at least 16 km``."""
        return f"{'limit' if self.side == 'at most' else 'at least'} {self.limit:g} {self.unit}"


Clearance = Annotated[YesClearance | ReadingClearance, Field(discriminator="kind")]


class Leg(Part):
    """A stretch of a walk-on route; ``pace_m_s`` defaults to MUTCD 2009 §4E.06's 3.5 ft/s."""

    name: Text
    length_m: Annotated[float, Field(gt=0, le=5000)]
    stairs: Annotated[int, Field(ge=0, le=2000)] = 0
    pace_m_s: Annotated[float, Field(gt=0, le=4)] = 1.0668
    clearances: tuple[Id, ...] = ()
    posted: Text | None = None
    """Who stands where on it: ``Jo at the gate``."""
    radio: Text | None = None
    """The radio channel spoken on there."""


class Walker(Part):
    """A person on the walk and what they do."""

    name: Text
    task: Text


class Route(Part):
    """A cleared way with its people, its clearances and the camera shot ahead of it."""

    id: Id
    name: Text
    legs: Annotated[tuple[Leg, ...], Field(min_length=1)]
    people: tuple[Walker, ...] = ()
    camera: Text | None = None
    preroll_s: Seconds = Fraction(0)
