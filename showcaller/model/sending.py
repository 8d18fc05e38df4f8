"""How a look is put into words for the devices that make it: templates of OSC messages."""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from showcaller.model.base import Id, Part

TEMPLATE_FIELDS = {
    "look": "the look's id", "source": "the source's id", "input": "the input's id",
    "surface": "the surface's id",
    "layer": "the layer's place from the back, from 1", "n": "the message's number in this look, from 1",
    "x": "left edge in the input's raster", "y": "top edge in the input's raster",
    "width": "width in the input's raster", "height": "height in the input's raster",
    "crop_x": "left edge of the part of the source", "crop_y": "top edge of the part of the source",
    "crop_width": "width of the part of the source", "crop_height": "height of the part of the source",
    "opacity": "opacity, 0 to 1", "turn": "clockwise rotation of the input, in degrees",
    "beats": "how long the change takes, in beats", "seconds": "the same in seconds",
    "by": "cut, mix, move or wipe", "treatment": "what is done to the picture, in words; empty for nothing",
    "flip": "none, across, down or both",
    "camera": "the camera's id", "number": "the camera's place among the cameras, from 1",
    "tally": "2 on the wall, 1 in the next look, 0 neither",
}  # fmt: skip
"""What may stand between braces in an address or an argument, and what it becomes."""

AddressTemplate = Annotated[str, StringConstraints(pattern=r"^/[^\s#*,?\[\]]+$", max_length=200)]
Argument = bool | int | float | Annotated[str, Field(max_length=200)]
"""A text that is one field alone, such as ``{x}``, becomes a decimal (``{x:i}`` a whole number); a text with
more around it stays a text; anything else is sent as it is."""


class LookSend(Part):
    """One message for each layer and input of a look, each layer, or once a look; or each camera's tally.

    ``numbers`` says whether places and sizes are in pixels or parts of the whole (of the input's raster, of
    the source). With ``per`` layer, places are on the surface's own grid, and only those on the first surface
    are told, unless the template says ``{surface}``: then there is a message for each surface that the layer
    is on. With ``per`` camera there are none, and a message leaves whenever a camera's tally changes.
    """

    id: Id
    outlet: Id
    per: Literal["layer and input", "layer", "look", "camera"] = "layer and input"
    numbers: Literal["px", "unit"] = "unit"
    address: AddressTemplate
    args: tuple[Argument, ...] = ()
