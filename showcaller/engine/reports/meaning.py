"""Which cue number a desk's message means, by what the show says of that desk. Pure."""

import re
from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Any

from showcaller.model.reports import CUE, MidiReports, MscReports, OscReports, TcpReports

_NUMBER = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")

_SYSEX, _REAL_TIME, _SHOW_CONTROL, _END = 0xF0, 0x7F, 0x02, 0xF7
_GO, _TIMED_GO = 0x01, 0x04
_TIME_BYTES = 5
"""RP-002: hours, minutes, seconds, frames and fractions stand before the cue of a TIMED GO."""
_ALL_CALL = 0x7F


def number_of(text: object) -> Decimal | None:
    """A cue number that was sent as text, whole or decimal; None if it is none. A decimal that came as a
    32-bit float is taken to three places."""
    if isinstance(text, bool) or text is None:
        return None
    if isinstance(text, float):
        text = f"{round(text, 3):g}" if 0 <= text < 1e6 else ""
    plain = str(text).strip()
    if not _NUMBER.fullmatch(plain):
        return None
    try:
        return Decimal(plain)
    except InvalidOperation:  # pragma: no cover - the pattern has only digits
        return None


@lru_cache(maxsize=64)
def _split(pattern: str) -> tuple[tuple[str, ...], bool]:
    address, _, argument = pattern.partition(" ")
    return tuple(address.split("/")), bool(argument)


def osc_means(report: OscReports | TcpReports, address: str, params: Sequence[Any]) -> Decimal | None:
    """The number that a message means; None where it means nothing to this desk's show.

    A first argument that is zero, false or nil beside a number in the address is a button's release.
    """
    for means in report.cues:
        if means.address == address:
            return None if _released(params) else means.cue
    if report.address is None:
        return None
    parts, in_argument = _split(report.address)
    given = address.split("/")
    if len(given) != len(parts) or any(p not in (CUE, g) for p, g in zip(parts, given, strict=True)):
        return None
    if in_argument:
        return number_of(params[0]) if params else None
    return None if _released(params) else number_of(given[parts.index(CUE)])


def _released(params: Sequence[Any]) -> bool:
    if not params:
        return False
    return params[0] is None or (isinstance(params[0], bool | int | float) and not params[0] > 0)


def midi_means(report: MscReports | MidiReports, message: bytes) -> Decimal | None:
    """The number that a MIDI message means; None for any that means no cue.

    Show control (RP-002) is ``F0 7F device 02 format command data F7``; data are a cue number, list and path
    in ASCII with 00 between them.
    """
    if isinstance(report, MscReports):
        return _show_control(report, message)
    status = 0x90 if report.kind == "notes" else 0xC0
    length = 3 if report.kind == "notes" else 2
    if len(message) != length or message[0] != status + report.channel - 1:
        return None
    if message[1] > 0x7F:  # MIDI 1.0: data bytes go to 127; what is above begins another message
        return None
    if report.kind == "notes" and message[2] == 0:  # MIDI 1.0: velocity 0 is a release
        return None
    if not report.cues:
        return Decimal(message[1])
    return next((m.cue for m in report.cues if m.number == message[1]), None)


def _show_control(report: MscReports, message: bytes) -> Decimal | None:
    if len(message) < 8 or message[-1] != _END or message[:2] != bytes((_SYSEX, _REAL_TIME)):
        return None
    device, kind, command = message[2], message[3], message[5]
    if kind != _SHOW_CONTROL or command not in (_GO, _TIMED_GO):
        return None
    if report.device is not None and device not in (report.device, _ALL_CALL):
        return None
    data = message[6 + (_TIME_BYTES if command == _TIMED_GO else 0) : -1]
    fields = data.decode("ascii", "replace").split("\0")
    if report.list is not None and (len(fields) < 2 or fields[1] != report.list):
        return None
    return number_of(fields[0])
