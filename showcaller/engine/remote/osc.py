"""Remote control by OSC over UDP, from the addresses the show allows and no others."""

import socket
import threading
import time
from collections.abc import Callable

from showcaller.engine.remote.gate import Asked
from showcaller.engine.remote.limits import PACKETS_BURST, PACKETS_PER_S, Allowance, Complaints
from showcaller.engine.remote.packets import BUNDLE, PREFIX, UnreadError, read_packet
from showcaller.engine.remote.pressing import Presses
from showcaller.model.remote import OscRemote

Say = Callable[[str, str, str], None]
"""(state, source, sentence): ``closed`` and ``open`` are the port's, ``unread`` is about a packet."""

_FIRST_WAIT_S, _LONGEST_WAIT_S = 0.5, 8.0


class OscListener:
    """A bound UDP socket and its thread. What cannot be bound is said, tried again, and stops nothing."""

    def __init__(self, remote: OscRemote, post: Callable[[Asked], None], say: Say) -> None:
        self._remote, self._post, self._say = remote, post, say
        self._presses, self._complaints = Presses(), Complaints()
        self._allowed: dict[tuple[str, bool], Allowance] = {}
        self._closing = threading.Event()
        self._socket: socket.socket | None = None
        self._away = False
        self._bind()
        self._thread = threading.Thread(target=self._run, name="remote osc", daemon=True)
        self._thread.start()

    def _bind(self) -> None:
        remote = self._remote
        family = socket.AF_INET6 if ":" in remote.host else socket.AF_INET
        wire = socket.socket(family, socket.SOCK_DGRAM)
        try:
            wire.bind((remote.host, remote.port))
        except OSError as error:
            wire.close()
            self._lost(error)
            return
        wire.settimeout(0.25)
        self._socket = wire
        words = f"remote control listens at {remote.host} port {remote.port}"
        self._say("open", "", words if self._away else "")
        self._away = False

    def _lost(self, error: OSError) -> None:
        if self._socket is not None:
            self._socket.close()
            self._socket = None
        if not self._away:
            self._away = True
            where = f"{self._remote.host} port {self._remote.port}"
            why = (error.strerror or str(error)).lower()
            self._say("closed", "", f"remote control cannot listen at {where}: {why}")

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
                data, sender = self._socket.recvfrom(65_535)
            except TimeoutError:
                self._settle(time.monotonic_ns())
                continue
            except OSError as error:
                self._lost(error)
                continue
            wait_s = _FIRST_WAIT_S
            if sender[0] in self._remote.allow:  # others are not answered, and fill no log
                self._take_some(data, sender[0], time.monotonic_ns())

    def _take_some(self, data: bytes, sender: str, at_ns: int) -> None:
        # Counted apart, so that a device that also sends here what is not for us loses no press by it.
        ours = data.startswith((PREFIX.encode(), BUNDLE))
        allowed = self._allowed.setdefault((sender, ours), Allowance(PACKETS_BURST, PACKETS_PER_S))
        if allowed.take(at_ns):
            self._take(data, sender, at_ns)
            return
        source = f"OSC from {sender}"
        why = f"more than {PACKETS_PER_S} packets a second come from there; the rest is ignored: check it"
        sentence = self._complaints.about(source, "flood", why, at_ns)
        if sentence is not None:
            self._say("unread", source, sentence)

    def _take(self, data: bytes, sender: str, at_ns: int) -> None:
        source = f"OSC from {sender}"
        try:
            for message in list(read_packet(data)):  # all of it, or nothing
                control = (sender, message.what)
                if message.what == "note" or self._presses.is_press(control, message.pressure, at_ns):
                    self._post(Asked(message.what, source, at_ns, message.text))
        except UnreadError as unread:
            sentence = self._complaints.about(source, unread.kind, str(unread), at_ns)
            if sentence is not None:
                self._say("unread", source, sentence)

    def _settle(self, now_ns: int) -> None:
        for source, sentence in self._complaints.overdue(now_ns):
            self._say("unread", source, sentence)

    def close(self) -> None:
        """Let go of the port."""
        self._closing.set()
        self._thread.join(timeout=1)
        if self._socket is not None:
            self._socket.close()
