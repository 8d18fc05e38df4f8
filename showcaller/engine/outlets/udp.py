"""OSC over UDP: one datagram a message, sent from the engine's own thread (it cannot block)."""

import socket

from showcaller.engine.outlets.base import Letter, Reporter, failed, sent
from showcaller.model import OscUdpOutlet


class UdpPort:
    """A connected, non-blocking UDP socket. Connected, so that 'nobody listens there' can be heard."""

    def __init__(self, outlet: OscUdpOutlet, report: Reporter) -> None:
        self._outlet = outlet
        self._report = report
        self._socket: socket.socket | None = None
        self._open()

    def _open(self) -> None:
        try:
            found = socket.getaddrinfo(self._outlet.host, self._outlet.port, type=socket.SOCK_DGRAM)[0]
            self._socket = socket.socket(found[0], socket.SOCK_DGRAM)
            self._socket.setblocking(False)
            self._socket.connect(found[4])
        except OSError as error:
            self.close()
            why = f"{self._outlet.host} cannot be reached: {(error.strerror or str(error)).lower()}"
            self._report({"kind": "outlet", "outlet": self._outlet.id, "state": "closed", "why": why})
        else:
            self._report({"kind": "outlet", "outlet": self._outlet.id, "state": "open", "why": ""})

    def frame(self, body: bytes) -> bytes:
        """A datagram is the message itself."""
        return body

    def send(self, letter: Letter) -> None:
        """Send every packet now."""
        if self._socket is None:
            self._report(failed(self._outlet.id, letter, "its address cannot be reached"))
            return
        refused = False
        try:
            for packet in letter.packets:
                try:
                    self._socket.send(packet)
                except ConnectionRefusedError:
                    # The system is reporting on an earlier datagram; this one has not left yet.
                    refused = True
                    self._socket.send(packet)
        except OSError as error:
            why = (error.strerror or str(error)).lower()
            self._report(failed(self._outlet.id, letter, why))
            return
        if refused:
            self._report(failed(self._outlet.id, letter, f"nobody listens on port {self._outlet.port}"))
        else:
            self._report(sent(self._outlet.id, letter))

    def close(self) -> None:
        """Close the socket."""
        if self._socket is not None:
            self._socket.close()
            self._socket = None
