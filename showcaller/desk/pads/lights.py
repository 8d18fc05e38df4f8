"""A controller's lights: which note is to be at which velocity, and what must be sent for it. Pure."""

from collections.abc import Mapping

from showcaller.desk.pads.bindings import Controller
from showcaller.desk.pads.control import NOTE_ON, Control

Lit = Mapping[Control, int]
"""A pad → its velocity."""


def wanted(controller: Controller, on: frozenset[str], coming: frozenset[str]) -> Lit:
    """The light of every pad that is bound to a tile; ``on`` and ``coming`` hold ``tile 3``."""
    levels = controller.lights
    return {
        control: levels.on if does in on else levels.next if does in coming else levels.off
        for control, does in controller.does.items()
        if control.message == "note" and does.startswith("tile ")
    }


def to_send(lit: Lit, want: Lit) -> list[bytes]:
    """Note-ons that make the lights as they are wanted; a pad that is no longer bound goes dark."""
    gone = {control: 0 for control in lit if control not in want}
    return [
        bytes((NOTE_ON | control.channel - 1, control.number, velocity))
        for control, velocity in {**gone, **want}.items()
        if lit.get(control) != velocity
    ]
