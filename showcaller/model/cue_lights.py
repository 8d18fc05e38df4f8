"""The lamp of a department's cue light: what is sent to it for each thing it can show."""

from typing import Literal

from showcaller.model.base import Part
from showcaller.model.messages import Message

LightShows = Literal["off", "standby", "standing by", "go"]
"""What a cue light shows: nothing; red, flashing where the lamp can, until the standby is answered; red and
steady; green. Common practice, no source."""


class CueLight(Part):
    """Messages for each state; one that has none leaves the lamp as it is. A department that stands by and
    has no ``standing_by`` keeps what ``standby`` put on."""

    off: tuple[Message, ...] = ()
    standby: tuple[Message, ...] = ()
    standing_by: tuple[Message, ...] = ()
    go: tuple[Message, ...] = ()

    def messages(self, shows: LightShows) -> tuple[Message, ...]:
        """What is sent when it comes to show this."""
        match shows:
            case "off":
                return self.off
            case "standby":
                return self.standby
            case "standing by":
                return self.standing_by
            case "go":
                return self.go

    @property
    def every(self) -> tuple[Message, ...]:
        """All of them, in the order of the fields."""
        return (*self.off, *self.standby, *self.standing_by, *self.go)
