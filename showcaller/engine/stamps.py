"""When the system had what a socket gives: read later, it has its true instant all the same."""

import contextlib
import socket
import struct
import sys
import time
from collections.abc import Iterable

_STAMPED = 35 if sys.platform == "linux" else None
"""SO_TIMESTAMPNS (asm-generic/socket.h): the system notes when something came in."""
_LATEST_READ_NS = 1_000_000_000
"""A stamp further back than this says that the machine's wall clock was set in between."""

EXTRA_BYTES = 64
"""Room for a stamp beside what ``recvmsg`` gives."""


def stamp_arrivals(wire: socket.socket) -> None:
    """Ask the system for stamps, if it has them."""
    if _STAMPED is not None:
        with contextlib.suppress(OSError):
            wire.setsockopt(socket.SOL_SOCKET, _STAMPED, 1)


def came_ns(extras: Iterable[tuple[int, int, bytes]]) -> int:
    """The monotonic instant (ns) at which what was just read came in, by what ``recvmsg`` gave beside it;
    now, without a stamp. Of a stream it is the instant of the last byte."""
    now_ns = time.monotonic_ns()
    for _, kind, body in extras:
        if kind == _STAMPED and len(body) == struct.calcsize("@ll"):
            seconds, ns = struct.unpack("@ll", body)
            ago_ns = time.time_ns() - (seconds * 1_000_000_000 + ns)
            if 0 <= ago_ns <= _LATEST_READ_NS:
                return now_ns - int(ago_ns)
    return now_ns
