"""OSC 1.0 packets read into addresses and arguments. Pure; whatever the bytes are: those, or a sentence."""

import struct
from collections.abc import Iterator
from typing import Any

from pythonosc.osc_message import OscMessage

LONGEST = 4096
"""Bytes of a packet. A note is far shorter; anything longer is not meant for this machine."""

_TYPES = b"ifsbhdtrmTFNI[]"
"""The argument types of OSC 1.0 that are read, the usual further ones among them."""

BUNDLE = b"#bundle\0"
_AT_ONCE, _DEEPEST = 1, 8


class UnreadError(Exception):
    """Why a packet says nothing, in one sentence; ``kind`` is the same for every one of its sort."""

    def __init__(self, kind: str, sentence: str) -> None:
        super().__init__(sentence)
        self.kind = kind


def read_osc(data: bytes, timed: bool = False) -> Iterator[tuple[str, list[Any]]]:
    """The messages of a packet, those of bundles too (OSC 1.0, 'OSC Packets'), in their order.

    A bundle with a time tag other than 'at once' is refused unless ``timed``: this run goes by no wall clock,
    and firing at another moment than the one asked for would be worse than not firing. (OSC 1.0 would have it
    wait.) What only tells something is read whatever its tag.

    Raises:
        UnreadError: it, or what is left of it, cannot be read.
    """
    if len(data) > LONGEST:
        raise UnreadError("long", f"a packet of {len(data)} bytes; those read here are {LONGEST} at most")
    yield from _packet(data, 0, timed)


def _packet(data: bytes, depth: int, timed: bool) -> Iterator[tuple[str, list[Any]]]:
    if not data.startswith(BUNDLE):
        yield _message(data)
        return
    if depth >= _DEEPEST:
        raise UnreadError("deep", f"bundles inside bundles, more than {_DEEPEST} deep")
    if len(data) < 16:
        raise UnreadError("bundle", "a bundle that ends before its time tag")
    if struct.unpack(">Q", data[8:16])[0] != _AT_ONCE and not timed:
        raise UnreadError(
            "time", "a bundle with a time tag, which is not waited for; send it with the tag 'at once'"
        )
    at = 16
    while at < len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        if size % 4 or size == 0 or at + 4 + size > len(data):
            raise UnreadError("bundle", "a bundle whose parts do not add up")
        yield from _packet(data[at + 4 : at + 4 + size], depth + 1, timed)
        at += 4 + size


def _message(data: bytes) -> tuple[str, list[Any]]:
    data = _with_known_types(data)
    try:
        message = OscMessage(data)
        return str(message.address), list(message.params)
    except UnicodeDecodeError:
        raise UnreadError("text", "a message with text that is not UTF-8") from None
    except Exception:  # whatever the library makes of rubbish: nobody's bytes may end the listener
        raise UnreadError("rubbish", f"{len(data)} bytes that are not an OSC message") from None


def _with_known_types(data: bytes) -> bytes:
    """A message all of whose argument types the library reads.

    It would leave out others but not their bytes, so that what follows is misread, and write a line for each.
    An impulse is given to it as true: both have no bytes, and both are a press.
    """
    start = (data.find(b"\0") // 4 + 1) * 4
    tags = data[start:].split(b"\0", 1)[0]
    if not tags.startswith(b","):
        return data
    unknown = tags[1:].translate(None, _TYPES)
    if unknown:
        raise UnreadError("type", f"an argument of type '{shown(chr(unknown[0]))}', which is not read here")
    return data[:start] + tags.replace(b"I", b"T") + data[start + len(tags) :]


def shown(text: str) -> str:
    """A stranger's text, short and printable."""
    return "".join(c if c.isprintable() else "?" for c in text[:40])
