"""Who works on the show day by day: when they are called, how they are reached, who stands in."""

from typing import Annotated

from pydantic import Field

from showcaller.model.base import Id, Part, Text
from showcaller.model.day import ClockTime


class CrewMember(Part):
    """A person. With ``instead`` the ``stand_in`` does tonight what they would do."""

    id: Id
    name: Text
    position: Text
    called_at: ClockTime | None = None
    reached: Text | None = None
    stand_in: Text | None = None
    instead: bool = False

    @property
    def acting(self) -> str:
        """Who it is tonight."""
        return self.stand_in if self.instead and self.stand_in is not None else self.name


class BreakRule(Part):
    """A break of at least ``for_min`` minutes after at most ``after_h`` hours of work: the local rule as
    somebody has typed it. showcaller knows no law; whoever is responsible does."""

    for_min: Annotated[int, Field(ge=1, le=240)]
    after_h: Annotated[float, Field(gt=0, le=16)]
