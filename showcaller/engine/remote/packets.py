"""What a datagram from a remote asks for. Pure; whatever the bytes are, the answer is asks or a sentence."""

import math
from collections.abc import Iterator
from typing import Any, get_args

from showcaller.engine.osc_read import UnreadError, read_osc, shown
from showcaller.model.remote import RemoteAct
from showcaller.values import Struct

PREFIX = "/showcaller/"
_ACTS = get_args(RemoteAct)

_KNOWN = ", ".join(PREFIX + act for act in _ACTS)


class Message(Struct, frozen=True):
    """An address without the prefix, the words of a note, and the first argument as pressure.

    ``pressure`` is None where there is no argument, or one that is no number: a press all the same. Zero,
    false, nil or not a number is a release.
    """

    what: str
    text: str
    pressure: float | None


def read_packet(data: bytes) -> Iterator[Message]:
    """The messages of a datagram, those of bundles too, in their order.

    Raises:
        UnreadError: it, or what is left of it, cannot be read, or is not for a remote.
    """
    for address, params in read_osc(data):
        yield _message(address, params)


def _message(address: str, params: list[Any]) -> Message:
    if address.removeprefix(PREFIX) not in _ACTS or not address.startswith(PREFIX):
        raise UnreadError("address", f"'{shown(address)}' is none of {_KNOWN}")
    text = " ".join(str(p) for p in params)
    return Message(address.removeprefix(PREFIX), text, _pressure(params[0]) if params else None)


def _pressure(value: object) -> float | None:
    if value is None:
        return 0.0
    if isinstance(value, int | float):
        return 0.0 if math.isnan(value) else float(value)
    return None
