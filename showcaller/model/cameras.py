"""A camera's shots over a song."""

from typing import Annotated

from pydantic import Field, model_validator

from showcaller.model.base import Id, Part, Text

BarNumber = Annotated[int, Field(ge=1, le=100_000)]


class CameraShot(Part):
    """What a camera has from ``bar`` to the end of ``until_bar``; ``camera`` is a source of that kind."""

    camera: Id
    bar: BarNumber
    until_bar: BarNumber
    what: Text
    lens: Text | None = None
    move: Text | None = None

    @model_validator(mode="after")
    def _in_order(self) -> "CameraShot":
        if self.until_bar < self.bar:
            raise ValueError(
                f"a shot from bar {self.bar} cannot end in bar {self.until_bar}; give a later one"
            )
        return self
