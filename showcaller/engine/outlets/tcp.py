"""OSC over TCP, framed by SLIP (RFC 1055, an END at both ends) or by OSC 1.0's 32-bit length."""

import contextlib
import select
import socket
import threading
import time
from typing import Protocol

from pythonosc import slip

from showcaller.engine.outlets.base import Worker
from showcaller.engine.outlets.termed import with_term
from showcaller.engine.stamps import EXTRA_BYTES, came_ns, stamp_arrivals
from showcaller.model import OscTcpOutlet
from showcaller.run.events import Reporter

_CONNECT_S = 2.0
_WRITE_S = 1.0

_NOTICE = [
    (getattr(socket, name), value)
    for name, value in (
        ("TCP_KEEPIDLE", 2), ("TCP_KEEPINTVL", 1), ("TCP_KEEPCNT", 3), ("TCP_USER_TIMEOUT", 5000),
    )
    if hasattr(socket, name)
]  # fmt: skip
"""A device that falls silent, or whose address has become another's, is noticed within some five seconds."""


class ReplyReader(Protocol):
    """What the other side of a connection sends back, taken on a thread of its own."""

    def begin(self) -> None:
        """The connection was made anew."""

    def take(self, data: bytes, at_ns: int) -> bool:
        """Bytes that came at ``at_ns`` (monotonic); False if more came than is read."""

    def rest(self) -> None:
        """Wait a little, since more came than is read."""


class TcpPort(Worker):
    """A TCP connection kept by its own thread; made again when it is lost. What comes back is dropped unless
    somebody listens."""

    def __init__(self, outlet: OscTcpOutlet, report: Reporter, term: int = 0) -> None:
        super().__init__(outlet.id, report)
        self._outlet, self._term = outlet, term
        self._socket: socket.socket | None = None
        self._answers: ReplyReader | None = None
        self._lock = threading.Lock()
        self.start()

    def listen(self, answers: ReplyReader) -> None:
        """Give what comes back to ``answers`` from now on."""
        with self._lock:
            self._answers = answers
            if self._socket is not None:
                self._hear(self._socket, answers)

    def _hear(self, wire: socket.socket, answers: ReplyReader) -> None:
        answers.begin()
        stamp_arrivals(wire)
        name = f"answers {self.outlet_id}"
        threading.Thread(target=_hear_all, args=(wire, answers), name=name, daemon=True).start()

    def frame(self, body: bytes) -> bytes:
        """The message with its framing."""
        body = with_term(body, self._term) if self._outlet.term else body
        if self._outlet.framing == "slip":
            return bytes(slip.encode(body))
        return len(body).to_bytes(4, "big") + body

    def _open(self) -> None:
        wire = socket.create_connection((self._outlet.host, self._outlet.port), _CONNECT_S)
        self._socket = wire
        wire.settimeout(_WRITE_S)
        wire.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        wire.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        for option, value in _NOTICE:  # the system's own two hours would be the rest of the show
            wire.setsockopt(socket.IPPROTO_TCP, option, value)
        with self._lock:
            if self._answers is not None:
                self._hear(wire, self._answers)

    def _write(self, packet: bytes) -> None:
        assert self._socket is not None
        self._socket.sendall(packet)

    def _alive(self) -> bool:
        """Whether the other side still holds the line; what it sends us is read and dropped, unless it is
        listened to."""
        assert self._socket is not None
        if self._answers is not None:
            return _holds(self._socket)
        self._socket.setblocking(False)
        try:
            return self._socket.recv(4096) != b""
        except BlockingIOError:
            return True
        except OSError:
            return False
        finally:
            self._socket.settimeout(_WRITE_S)

    def _shut(self) -> None:
        if self._socket is not None:
            with contextlib.suppress(OSError):
                self._socket.shutdown(socket.SHUT_RDWR)  # whoever hears it is told
            self._socket.close()
            self._socket = None


def _holds(wire: socket.socket) -> bool:
    """Whether the line is held, without taking what came over it."""
    try:
        ready, _, _ = select.select([wire], [], [], 0)
        return not ready or wire.recv(1, socket.MSG_PEEK) != b""
    except (OSError, ValueError):
        return False


def _hear_all(wire: socket.socket, answers: ReplyReader) -> None:
    """Until the connection is lost, which its own worker sees too."""
    turned_away = 0
    try:
        while True:
            ready, _, _ = select.select([wire], [], [], 0.25)
            if not ready:
                if wire.fileno() < 0:
                    return
                continue
            data, at_ns = _receive(wire)
            if not data:
                return
            if not answers.take(data, at_ns):
                turned_away += 1
                if turned_away % 4 == 0:
                    answers.rest()
    except (OSError, ValueError):
        return


def _receive(wire: socket.socket) -> tuple[bytes, int]:
    """What has come, and the monotonic instant at which the last of it did."""
    if not hasattr(wire, "recvmsg"):
        return wire.recv(4096), time.monotonic_ns()
    data, extras, _, _ = wire.recvmsg(4096, EXTRA_BYTES)
    return data, came_ns(extras)
