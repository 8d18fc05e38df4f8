"""Who may finish a handshake at the door, by ZeroMQ's authentication protocol (RFC 27)."""

from collections.abc import Callable
from typing import Any

import zmq
import zmq.utils.z85

from showcaller.joining.wire import DOMAIN, ZAP


class Keyring:
    """``refused`` counts handshakes of keys that ``has`` does not know."""

    def __init__(self, context: "zmq.Context[Any]", has: Callable[[str], bool]) -> None:
        self._has = has
        self.sock = context.socket(zmq.REP)
        self.sock.bind(ZAP)
        self.refused = 0

    def answer(self) -> None:
        """Let in or refuse all that wait."""
        while True:
            try:
                frames = self.sock.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                return
            version, number, domain, _address, _identity, mechanism, *key = frames
            text = zmq.utils.z85.encode(key[0]).decode() if key and len(key[0]) == 32 else ""
            right = domain == DOMAIN and mechanism == b"CURVE" and self._has(text)
            self.refused += not right
            code, why = (b"200", b"OK") if right else (b"400", b"not let in")
            self.sock.send_multipart([version, number, code, why, text.encode() if right else b"", b""])
