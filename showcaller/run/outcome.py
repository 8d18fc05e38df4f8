"""What a step of the run did."""

from dataclasses import dataclass, field

from showcaller.model import LookChange
from showcaller.run.compiled import CompiledShow
from showcaller.run.events import Event, LookShown


@dataclass(slots=True)
class Outcome:
    """Facts for the log, cues to send, and why the input was refused if it was.

    ``sends`` holds (item, cue, instant it was due on the run's clock, in ns). ``next_ns`` is when something
    next fires by itself, None if nothing will. ``shows`` holds looks put on by hand, with how they come;
    ``again`` a look of the log that a hand put back. ``played`` is the layer a hand has changed, and which of
    its fields.
    ``only`` has the outlets of those (item, cue) whose messages leave for some of theirs only.
    ``compiled`` is the show from here on if it was changed: the next step is of that one.
    """

    events: list[Event] = field(default_factory=list)
    sends: list[tuple[int, int, int]] = field(default_factory=list)
    refused: str | None = None
    next_ns: int | None = None
    shows: list[LookChange] = field(default_factory=list)
    again: LookShown | None = None
    played: tuple[str, tuple[str, ...]] | None = None
    only: dict[tuple[int, int], frozenset[str]] = field(default_factory=dict)
    compiled: CompiledShow | None = None
