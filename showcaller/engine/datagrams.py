"""Datagrams heard at a port, with the instant each came in. What cannot be bound is said and tried again."""

import contextlib
import socket
import struct
import sys
import threading
import time
from collections.abc import Callable

Say = Callable[[str, str, str], None]
"""(state, source, sentence): ``closed`` and ``open`` are the port's, ``unread`` is about a packet."""

_FIRST_WAIT_S, _LONGEST_WAIT_S = 0.5, 8.0

_STAMPED = 35 if sys.platform == "linux" else None
"""SO_TIMESTAMPNS (asm-generic/socket.h): the system notes when a datagram came in."""
_LATEST_READ_NS = 1_000_000_000
"""A stamp further back than this says that the machine's wall clock was set in between."""


class DatagramPort:
    """A bound UDP socket and its thread.

    Subclasses give ``_heard`` (a datagram, who sent it, the monotonic ns at which it came in) and, if they
    count anything, ``_settle``. A flood is read a little at a time: each packet read costs time that the
    engine's own thread would have.
    """

    def __init__(self, host: str, port: int, what: str, say: Say) -> None:
        self._host, self._port, self._what, self._say = host, port, what, say
        self._closing = threading.Event()
        self._socket: socket.socket | None = None
        self._away = False
        self._turned_away = 0
        self._bind()
        self._thread = threading.Thread(target=self._run, name=what, daemon=True)

    def start(self) -> None:
        """Begin to hear; call once the subclass is ready."""
        self._thread.start()

    def _bind(self) -> None:
        family = socket.AF_INET6 if ":" in self._host else socket.AF_INET
        wire = socket.socket(family, socket.SOCK_DGRAM)
        try:
            wire.bind((self._host, self._port))
        except OSError as error:
            wire.close()
            self._lost(error)
            return
        if _STAMPED is not None:
            with contextlib.suppress(OSError):
                wire.setsockopt(socket.SOL_SOCKET, _STAMPED, 1)
        wire.settimeout(0.25)
        self._socket = wire
        words = f"{self._what} listens at {self._host} port {self._port}"
        self._say("open", "", words if self._away else "")
        self._away = False

    def _lost(self, error: OSError) -> None:
        if self._socket is not None:
            self._socket.close()
            self._socket = None
        if not self._away:
            self._away = True
            where = f"{self._host} port {self._port}"
            why = (error.strerror or str(error)).lower()
            self._say("closed", "", f"{self._what} cannot listen at {where}: {why}")

    def _run(self) -> None:
        wait_s = _FIRST_WAIT_S
        while not self._closing.is_set():
            if self._socket is None:
                self._closing.wait(wait_s)
                wait_s = min(_LONGEST_WAIT_S, 2 * wait_s)
                if not self._closing.is_set():
                    self._bind()
                continue
            try:
                data, sender, at_ns = _receive(self._socket)
            except TimeoutError:
                self._settle(time.monotonic_ns())
                continue
            except OSError as error:
                self._lost(error)
                continue
            wait_s = _FIRST_WAIT_S
            if not self._heard(data, sender, at_ns):
                self._turned_away += 1
                if self._turned_away % 16 == 0:
                    time.sleep(0.002)

    def _heard(self, data: bytes, sender: str, at_ns: int) -> bool:
        """Take a datagram; False if more came than is read."""
        raise NotImplementedError

    def _settle(self, now_ns: int) -> None:
        """Nothing has come for a while."""

    def close(self) -> None:
        """Let go of the port."""
        self._closing.set()
        self._thread.join(timeout=1)
        if self._socket is not None:
            self._socket.close()


def _receive(wire: socket.socket) -> tuple[bytes, str, int]:
    """A datagram, its sender's address, and the monotonic instant at which it came in."""
    if not hasattr(wire, "recvmsg"):
        data, sender = wire.recvfrom(65_535)
        return data, str(sender[0]), time.monotonic_ns()
    data, extras, _, sender = wire.recvmsg(65_535, 64)
    now_ns = time.monotonic_ns()
    for _, kind, body in extras:
        if kind == _STAMPED and len(body) == struct.calcsize("@ll"):
            seconds, ns = struct.unpack("@ll", body)
            ago_ns = time.time_ns() - (seconds * 1_000_000_000 + ns)
            if 0 <= ago_ns <= _LATEST_READ_NS:
                return data, str(sender[0]), now_ns - ago_ns
    return data, str(sender[0]), now_ns
