"""Datagrams heard at a port, with the instant each came in. What cannot be bound is said and tried again."""

import socket
import threading
import time
from collections.abc import Callable

from showcaller.engine.near import NextInstant, StandsStill
from showcaller.engine.stamps import EXTRA_BYTES, came_ns, stamp_arrivals

Say = Callable[[str, str, str], None]
"""(state, source, sentence): ``closed`` and ``open`` are the port's, ``unread`` is about a packet."""

_FIRST_WAIT_S, _LONGEST_WAIT_S = 0.5, 8.0

REST_NS = 2_000_000
"""A flood is not read for so long, after a few packets of it."""


class DatagramPort:
    """A bound UDP socket and its thread.

    Subclasses give ``_heard`` (a datagram, who sent it, the monotonic ns at which it came in) and, if they
    count anything, ``_settle``. A flood is read a little at a time: each packet read costs time that the
    engine's own thread would have. One that can wait, having its instant, is not read while a cue is near
    (``still``).
    """

    def __init__(self, host: str, port: int, what: str, say: Say, still: StandsStill | None = None) -> None:
        self._still = still or StandsStill(NextInstant())
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
        stamp_arrivals(wire)
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
            self._still.while_near()
            if not self._heard(data, sender, at_ns):
                self._turned_away += 1
                if self._turned_away % 16 == 0:
                    self._still.rest(REST_NS)

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
    data, extras, _, sender = wire.recvmsg(65_535, EXTRA_BYTES)
    return data, str(sender[0]), came_ns(extras)
