"""The show document's top level, and the references inside it that must hold."""

from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from showcaller.model.base import Id, Part, Text
from showcaller.model.crew import BreakRule, CrewMember
from showcaller.model.cues import Cue
from showcaller.model.day import ClockTime, DayItem, TimeZone
from showcaller.model.house import House
from showcaller.model.items import Item
from showcaller.model.outlets import Outlet
from showcaller.model.pages import SpokenPage
from showcaller.model.people import Clearance, Department, Route
from showcaller.model.quantities import Length, Seconds
from showcaller.model.references import holds, reference_errors
from showcaller.model.remote import Remote
from showcaller.model.sending import LookSend
from showcaller.model.timecode_in import TimecodeIn
from showcaller.model.upgrading import from_version_1
from showcaller.model.venues import Date, Venue
from showcaller.model.wall import ChannelPool, Look, Source, Wall

FORMAT = "showcaller/show"
VERSION = 2

TimecodeRate = Literal["23.976", "24", "25", "29.97 drop", "29.97", "30", "50", "59.94 drop"]


Language = Literal["english", "german", "french", "spanish"]


class HouseWording(Part):
    """How lines are worded: in which language; with or without cue numbers; a standby for each department
    (``each``) or one for all; the department's name before the word (``name_first``: "Lights 64, standby").

    What is said for a department is the department's own (``says``).
    """

    language: Language = "english"
    numbers: bool = True
    each: bool = False
    name_first: bool = False


class Speaking(Part):
    """How the caller speaks, for working out how long an utterance takes.

    Rate: 150 words a minute is conversational English (National Center for Voice and Speech).
    ``early_s`` is how much earlier than its least lead a standby may be said before it is stale. A go more
    than ``ask_again_s`` early is asked for a second time; if not given, more than its own standby's lead.
    So is one whose standby was not called, unless ``ask_unsaid`` is false: a caller who does not key
    standbys.
    """

    words_per_minute: Annotated[int, Field(ge=60, le=300)] = 150
    breath_s: Seconds = Fraction(1, 4)
    early_s: Length = Fraction(20)
    ask_again_s: Seconds | None = None
    ask_unsaid: bool = True
    wording: HouseWording = HouseWording()


class Show(Part):
    """A whole show. Ids are unique across the document's lists, cue numbers within a department.

    ``date`` is that of the night; ``venues`` are the tour's, of which ``venue`` names tonight's. A curfew
    earlier than the start is on the next day. ``time_zone`` is the venue's; if not given
    the machine's own. ``incident_readers`` names who reads the forms of incidents (a person, first aid): a
    report that goes to all has them only where nobody is named.
    """

    format: Literal["showcaller/show"]
    version: Literal[2]
    id: Id
    name: Text
    act: Text
    venue: Text
    date: Date | None = None
    starts_at: ClockTime
    curfew: ClockTime | None = None
    time_zone: TimeZone | None = None
    timecode_rate: TimecodeRate = "25"
    timecode_in: TimecodeIn | None = None
    remotes: tuple[Remote, ...] = ()
    speaking: Speaking = Speaking()
    departments: Annotated[tuple[Department, ...], Field(min_length=1)]
    outlets: tuple[Outlet, ...] = ()
    clearances: tuple[Clearance, ...] = ()
    routes: tuple[Route, ...] = ()
    surfaces: tuple[Wall, ...] = ()
    """The main wall first; a layer that names no surface is on that one."""
    pools: tuple[ChannelPool, ...] = ()
    sources: tuple[Source, ...] = ()
    looks: tuple[Look, ...] = ()
    sends: tuple[LookSend, ...] = ()
    house: House | None = None
    """Where the first surface stands, from where it is seen; left out, a usual one is worked out."""
    lengths: Literal["m", "ft"] = "m"
    """How lengths on the wall are shown: in metres, or in feet and inches; the document has metres."""
    day: tuple[DayItem, ...] = ()
    pages: tuple[SpokenPage, ...] = ()
    incident_readers: tuple[Text, ...] = ()
    venues: tuple[Venue, ...] = ()
    people: tuple[CrewMember, ...] = ()
    breaks: BreakRule | None = None
    items: Annotated[tuple[Item, ...], Field(min_length=1)]

    @model_validator(mode="before")
    @classmethod
    def _of_an_older_version(cls, data: Any) -> Any:
        return from_version_1(data) if isinstance(data, dict) and data.get("version") == 1 else data

    @model_validator(mode="after")
    def _references_hold(self) -> Self:
        if not holds(self):
            errors = list(reference_errors(self))
            raise PydanticCustomError(
                "reference", "{count} references do not hold", {"count": len(errors), "errors": errors}
            )
        return self

    @property
    def wall(self) -> Wall | None:
        """The first surface; None for a show without any."""
        return self.surfaces[0] if self.surfaces else None

    def all_cues(self) -> Iterator[Cue]:
        """Every cue in running order, in document order within an item."""
        for item in self.items:
            yield from item.cues

    def department(self, department_id: str) -> Department:
        """The department with this id (references are checked on reading, so it is there)."""
        return next(d for d in self.departments if d.id == department_id)
