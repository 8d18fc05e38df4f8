"""A stream of OSC packets cut into packets: SLIP (RFC 1055) or OSC 1.0's 32-bit length. Pure."""

from collections.abc import Iterator
from typing import Literal

from pythonosc import slip

from showcaller.engine.osc_read import LONGEST


class Frames:
    """What has come of a connection and is no whole packet yet; never more than a packet's length."""

    def __init__(self, framing: Literal["slip", "length"]) -> None:
        self._slip = framing == "slip"
        self._rest = bytearray()

    def take(self, data: bytes) -> Iterator[bytes]:
        """The packets that are whole now.

        Raises:
            ValueError: what comes is no packet, and the connection cannot be read on from here; what is left
                has been let go.
        """
        self._rest += data
        yield from self._slipped() if self._slip else self._counted()

    def _slipped(self) -> Iterator[bytes]:
        *whole, rest = bytes(self._rest).split(slip.END)
        self._rest = bytearray(rest)
        for part in whole:
            if part:
                try:
                    yield bytes(slip.decode(slip.END + part + slip.END))
                except Exception:  # the library has its own errors; the next END begins anew
                    continue
        if len(self._rest) > 2 * LONGEST:
            self._rest.clear()
            raise ValueError("more bytes than any packet has, without an end")

    def _counted(self) -> Iterator[bytes]:
        while len(self._rest) >= 4:
            size = int.from_bytes(self._rest[:4], "big")
            if size > LONGEST:
                self._rest.clear()
                raise ValueError(
                    f"a packet said to be {size} bytes long; those read here are {LONGEST} at most"
                )
            if len(self._rest) < 4 + size:
                return
            packet = bytes(self._rest[4 : 4 + size])
            del self._rest[: 4 + size]
            if packet:
                yield packet
