"""OSC over TCP, framed by SLIP (RFC 1055, an END at both ends) or by OSC 1.0's 32-bit length."""

import socket

from pythonosc import slip

from showcaller.engine.outlets.base import Worker
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


class TcpPort(Worker):
    """A TCP connection kept by its own thread; made again when it is lost."""

    def __init__(self, outlet: OscTcpOutlet, report: Reporter) -> None:
        super().__init__(outlet.id, report)
        self._outlet = outlet
        self._socket: socket.socket | None = None
        self.start()

    def frame(self, body: bytes) -> bytes:
        """The message with its framing."""
        if self._outlet.framing == "slip":
            return bytes(slip.encode(body))
        return len(body).to_bytes(4, "big") + body

    def _open(self) -> None:
        self._socket = socket.create_connection((self._outlet.host, self._outlet.port), _CONNECT_S)
        self._socket.settimeout(_WRITE_S)
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        for option, value in _NOTICE:  # the system's own two hours would be the rest of the show
            self._socket.setsockopt(socket.IPPROTO_TCP, option, value)

    def _write(self, packet: bytes) -> None:
        assert self._socket is not None
        self._socket.sendall(packet)

    def _alive(self) -> bool:
        """Whether the other side still holds the line; what it sends us is read and dropped."""
        assert self._socket is not None
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
            self._socket.close()
            self._socket = None
