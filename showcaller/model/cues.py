"""A cue: who, which number, when, and what leaves."""

from fractions import Fraction
from typing import Literal

from showcaller.model.anchors import Anchor
from showcaller.model.base import Id, Part, Text
from showcaller.model.messages import Message
from showcaller.model.quantities import CueNumber, Seconds
from showcaller.model.wall import LookChange


class Hazard(Part):
    """What can hurt, the caution to show, and who answers for it. Never a safety system."""

    kind: Literal["pyrotechnics", "moving scenery", "lift", "laser", "flying", "other"]
    caution: Text
    responsible: Text


class Cue(Part):
    """One cue of one department.

    ``standby_s`` is the least time between the end of the spoken standby and the go; ``warning_s``, if set,
    the same for a warning spoken earlier still. ``fires`` says whether the caller's go fires it or it fires
    by itself at its instant; a cue seen by eye is always called, a hazardous one too.
    """

    id: Id
    department: Id
    number: CueNumber
    label: Text
    anchor: Anchor
    fires: Literal["called", "by itself"] = "called"
    standby_s: Seconds = Fraction(8)
    warning_s: Seconds | None = None
    messages: tuple[Message, ...] = ()
    look: LookChange | None = None
    needs: tuple[Id, ...] = ()
    hazard: Hazard | None = None
    notes: str = ""
