"""Messages to bytes, once, when the plan is loaded.

OSC 1.0 through python-osc; MIDI 1.0 channel messages through mido; MIDI Show Control as RP-002 lays it out
(``F0 7F device 02 format command data F7``); MIDI Machine Control (``F0 7F device 06 command … F7``).
"""

import mido
from pythonosc.osc_message_builder import OscMessageBuilder

from showcaller.model import (
    Message,
    MidiControl,
    MidiMachineControl,
    MidiNote,
    MidiProgram,
    MidiShowControl,
    MidiSysex,
    OscMessage,
    TimecodeRate,
    TypedArg,
)
from showcaller.timing.timecode import frame_number

MSC_FORMATS = {
    "lighting": 0x01, "sound": 0x10, "machinery": 0x20, "video": 0x30, "projection": 0x40,
    "process": 0x50, "pyro": 0x60, "all": 0x7F,
}  # fmt: skip
"""RP-002 command formats, the general one of each kind."""

MSC_COMMANDS = {
    "go": 0x01, "stop": 0x02, "resume": 0x03, "timed_go": 0x04, "load": 0x05, "set": 0x06, "all_off": 0x08,
    "reset": 0x0A,
}  # fmt: skip
"""RP-002 general commands."""

MMC_COMMANDS = {"stop": 0x01, "play": 0x02, "locate": 0x44}

_RATE_BITS: dict[str, int] = {
    "23.976": 0, "24": 0, "25": 1, "50": 1, "29.97 drop": 2, "59.94 drop": 2, "29.97": 3, "30": 3,
}  # fmt: skip
"""The two rate bits of an hours byte: 24, 25, 30 drop, 30. Double rates count pairs of frames."""


class EncodeError(ValueError):
    """A message that cannot be put into bytes; one sentence says what is wrong with it."""


def encode(message: Message, rate: TimecodeRate = "25") -> bytes:
    """The bytes that will leave for ``message``; ``rate`` is the show's timecode rate.

    Raises:
        EncodeError: a value does not fit its type, or something a command needs is missing.
    """
    match message:
        case OscMessage():
            return osc_bytes(message)
        case MidiShowControl():
            return msc_bytes(message, rate)
        case MidiMachineControl():
            return mmc_bytes(message, rate)
        case MidiSysex():
            return b"\xf0" + bytes.fromhex(message.data) + b"\xf7"
        case MidiNote():
            kind = "note_on" if message.on else "note_off"
            return _channel(kind, message.channel, note=message.note, velocity=message.velocity)
        case MidiControl():
            return _channel("control_change", message.channel, control=message.control, value=message.value)
        case MidiProgram():
            return _channel("program_change", message.channel, program=message.program)


def _channel(kind: str, channel: int, **values: int) -> bytes:
    return bytes(mido.Message(kind, channel=channel - 1, **values).bytes())


def osc_bytes(message: OscMessage) -> bytes:
    """An OSC 1.0 message."""
    builder = OscMessageBuilder(message.address)
    for n, arg in enumerate(message.args):
        tag, value = (arg.tag, arg.value) if isinstance(arg, TypedArg) else (_tag(arg), arg)
        try:
            if tag == "b":
                builder.add_arg(bytes.fromhex(str(value)), tag)
            elif tag == "s":
                builder.add_arg(str(value), tag)
            elif tag in ("f", "d"):
                builder.add_arg(float(value or 0), tag)
            elif tag in ("i", "h"):
                builder.add_arg(int(value or 0), tag)
            elif tag == "I":
                builder.add_arg(None, "N")  # no bytes of its own either; its tag is put right below
            else:
                builder.add_arg({"T": True, "F": False}.get(tag), tag)
        except (TypeError, ValueError, OverflowError):
            raise EncodeError(
                f"{message.address}: argument {n + 1}, {value!r}, is not of OSC type '{tag}'"
            ) from None
    try:
        return _with_impulses(message, bytes(builder.build().dgram))
    except Exception as error:  # python-osc raises its own BuildError from struct.error
        raise EncodeError(f"{message.address}: a value is too large for its OSC type ({error})") from None


def _with_impulses(message: OscMessage, body: bytes) -> bytes:
    """The tag ``I`` where it was asked for; python-osc knows all of OSC 1.0's tags without bytes but this."""
    made = bytearray(body)
    first = body.index(b",") + 1  # an address holds no comma
    for n, arg in enumerate(message.args):
        if isinstance(arg, TypedArg) and arg.tag == "I":
            made[first + n] = ord("I")
    return bytes(made)


def _tag(arg: bool | int | float | str) -> str:
    if isinstance(arg, bool):
        return "T" if arg else "F"
    return "i" if isinstance(arg, int) else "f" if isinstance(arg, float) else "s"


def msc_bytes(message: MidiShowControl, rate: TimecodeRate) -> bytes:
    """A MIDI Show Control message, F0 to F7 (RP-002)."""
    data = bytearray()
    if message.command == "set":
        if message.control is None or message.value is None:
            raise EncodeError("a Show Control 'set' needs control and value")
        data += _fourteen(message.control) + _fourteen(message.value)
        data += _time(message.time, rate) if message.time else b""
    elif message.command == "timed_go":
        if message.time is None:
            raise EncodeError("a Show Control 'timed_go' needs a time")
        data += _time(message.time, rate) + _cue_fields(message)
    elif message.command in ("all_off", "reset"):
        if message.cue or message.list or message.path:
            raise EncodeError(f"a Show Control '{message.command}' carries no cue, list or path")
    else:
        if message.command == "load" and message.cue is None:
            raise EncodeError("a Show Control 'load' needs a cue")
        data += _cue_fields(message)
    head = (0xF0, 0x7F, message.device, 0x02, MSC_FORMATS[message.format], MSC_COMMANDS[message.command])
    whole = bytes(head) + bytes(data) + b"\xf7"
    if len(whole) > 128:
        raise EncodeError(f"a Show Control message is 128 bytes at most; this one is {len(whole)}")
    return whole


def _cue_fields(message: MidiShowControl) -> bytes:
    """Cue, list and path in ASCII digits and points, 00 between them; each needs the one before it."""
    fields = [message.cue, message.list, message.path]
    for earlier, later, name in ((0, 1, "a list needs a cue"), (1, 2, "a path needs a list")):
        if fields[earlier] is None and fields[later] is not None:
            raise EncodeError(f"in Show Control {name} before it")
    return b"\x00".join(f.encode("ascii") for f in fields if f is not None)


def _fourteen(value: int) -> bytes:
    """Fourteen bits, coarse (low seven) first as RP-002 has them."""
    return bytes((value & 0x7F, value >> 7))


def _time(text: str, rate: TimecodeRate) -> bytes:
    """Standard time: hr mn sc fr ff, the rate in bits 5 and 6 of the hours; ff, hundredths, is 0.

    Raises:
        EncodeError: there is no such time at the rate: five bits hold 99 hours as little as a day does.
    """
    try:
        frame_number(text, rate)
    except ValueError as error:
        raise EncodeError(str(error)) from None
    hours, minutes, seconds, frames = (int(part) for part in text.replace(";", ":").split(":"))
    if rate in ("50", "59.94 drop"):
        frames //= 2
    return bytes((_RATE_BITS[rate] << 5 | hours, minutes, seconds, frames, 0))


def mmc_bytes(message: MidiMachineControl, rate: TimecodeRate) -> bytes:
    """A MIDI Machine Control message, F0 to F7; locate carries its target (``44 06 01 hr mn sc fr ff``)."""
    head = bytes((0xF0, 0x7F, message.device, 0x06, MMC_COMMANDS[message.command]))
    if message.command != "locate":
        return head + b"\xf7"
    if message.time is None:
        raise EncodeError("a Machine Control 'locate' needs a time")
    return head + b"\x06\x01" + _time(message.time, rate) + b"\xf7"


def bytes_text(message: Message, rate: TimecodeRate, room: int = 48) -> str:
    """The bytes that will leave, in hex, the first ``room`` of them; or why there are none."""
    try:
        body = encode(message, rate)
    except EncodeError as error:
        return str(error)
    more = " …" if len(body) > room else ""
    return f"{len(body)} bytes: {body[:room].hex(' ').upper()}{more}"
