"""What a cue sends: OSC, MIDI channel messages, MIDI Show Control, MIDI Machine Control.

Only values live here; bytes are made in :mod:`showcaller.engine.encode`.
"""

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from showcaller.model.anchors import TimecodeText
from showcaller.model.base import Id, Part

Channel = Annotated[int, Field(ge=1, le=16)]
"""A MIDI channel as people count them, 1 to 16."""

Data7 = Annotated[int, Field(ge=0, le=127)]
DeviceId = Annotated[int, Field(ge=0, le=127)]
"""A device ID: 0 to 111 one device, 112 to 126 groups, 127 all (RP-002)."""

OscAddress = Annotated[str, StringConstraints(pattern=r"^/[^\s#*,?\[\]{}]+$", max_length=200)]
OscTag = Literal["i", "f", "s", "b", "h", "d", "T", "F", "N", "I"]
MscText = Annotated[str, StringConstraints(pattern=r"^[0-9]+(\.[0-9]+)*$", max_length=32)]
"""Digits and points only, as RP-002 codes cue numbers, lists and paths."""


class TypedArg(Part):
    """An OSC argument whose type tag matters, e.g. ``{"tag": "f", "value": 2}``; a blob is hex text."""

    tag: OscTag
    value: int | float | str | None = None


OscArg = bool | int | float | str | TypedArg
"""Plain values take the tag people expect: whole numbers i, decimals f, text s, true T, false F."""


class OscMessage(Part):
    """An OSC 1.0 message."""

    kind: Literal["osc"]
    outlet: Id
    address: OscAddress
    args: tuple[OscArg, ...] = ()


class MidiNote(Part):
    """Note on (or off)."""

    kind: Literal["note"]
    outlet: Id
    channel: Channel = 1
    note: Data7
    velocity: Data7 = 100
    on: bool = True


class MidiControl(Part):
    """Control change."""

    kind: Literal["control"]
    outlet: Id
    channel: Channel = 1
    control: Data7
    value: Data7


class MidiProgram(Part):
    """Programme change, 0 to 127 as it goes over the wire."""

    kind: Literal["program"]
    outlet: Id
    channel: Channel = 1
    program: Data7


class MidiSysex(Part):
    """System Exclusive: the bytes between F0 and F7 as hex text, e.g. ``"7E 7F 06 01"``."""

    kind: Literal["sysex"]
    outlet: Id
    data: Annotated[str, StringConstraints(pattern=r"^([0-7][0-9A-Fa-f]\s*)+$", max_length=4000)]


MscFormat = Literal["lighting", "sound", "machinery", "video", "projection", "process", "pyro", "all"]
MscCommandName = Literal["go", "stop", "resume", "timed_go", "load", "set", "all_off", "reset"]


class MidiShowControl(Part):
    """MIDI Show Control 1.0 (RP-002)."""

    kind: Literal["msc"]
    outlet: Id
    device: DeviceId = 127
    format: MscFormat = "all"
    command: MscCommandName
    cue: MscText | None = None
    list: MscText | None = None
    path: MscText | None = None
    time: TimecodeText | None = None
    control: Annotated[int, Field(ge=0, le=16383)] | None = None
    value: Annotated[int, Field(ge=0, le=16383)] | None = None


class MidiMachineControl(Part):
    """MIDI Machine Control: play, stop, locate."""

    kind: Literal["mmc"]
    outlet: Id
    device: DeviceId = 127
    command: Literal["play", "stop", "locate"]
    time: TimecodeText | None = None


Message = Annotated[
    OscMessage | MidiNote | MidiControl | MidiProgram | MidiSysex | MidiShowControl | MidiMachineControl,
    Field(discriminator="kind"),
]
