"""Remote control by OSC over UDP, from the addresses the show allows and no others."""

import socket
import threading
import time
from collections.abc import Callable

from pythonosc.osc_message import OscMessage, ParseError

from showcaller.engine.remote.gate import Asked
from showcaller.model.remote import OscRemote

_PREFIX = "/showcaller/"


class OscListener:
    """A bound UDP socket and its thread. What cannot be bound is reported, and does not stop the run."""

    def __init__(
        self, remote: OscRemote, post: Callable[[Asked], None], say: Callable[[str, str], None]
    ) -> None:
        self._remote, self._post = remote, post
        self._closing = False
        family = socket.AF_INET6 if ":" in remote.host else socket.AF_INET
        self._socket = socket.socket(family, socket.SOCK_DGRAM)
        try:
            self._socket.bind((remote.host, remote.port))
        except OSError as error:
            self._socket.close()
            reason = (error.strerror or str(error)).lower()
            say("closed", f"remote control cannot listen at {remote.host} port {remote.port}: {reason}")
            self._thread = None
            return
        self._socket.settimeout(0.25)
        self._thread = threading.Thread(target=self._run, name="remote osc", daemon=True)
        self._thread.start()
        say("open", "")

    def _run(self) -> None:
        while not self._closing:
            try:
                data, sender = self._socket.recvfrom(4096)
            except TimeoutError:
                continue
            except OSError:
                return
            if sender[0] in self._remote.allow:  # others are not answered, and fill no log
                self._take(data, sender[0], time.monotonic_ns())

    def _take(self, data: bytes, sender: str, at_ns: int) -> None:
        try:
            message = OscMessage(data)
        except ParseError:
            return
        if message.address.startswith(_PREFIX):
            text = " ".join(str(p) for p in message.params)
            self._post(Asked(message.address.removeprefix(_PREFIX), f"OSC from {sender}", at_ns, text))

    def close(self) -> None:
        """Let go of the port."""
        self._closing = True
        if self._thread is not None:
            self._thread.join(timeout=1)
            self._socket.close()
