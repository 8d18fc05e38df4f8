"""OSC over UDP: one datagram a message, sent from the engine's own thread (it cannot block).

A thread beside it looks names up, connects and, when the address cannot be reached, tries again: none of that
is ever done while a message waits.
"""

import errno
import socket
import threading
import time
from collections.abc import Callable
from ipaddress import ip_address
from math import inf
from typing import Any

from showcaller.engine.outlets.base import OutboundBatch, failed, reason, sent
from showcaller.engine.outlets.presence import Presence
from showcaller.engine.outlets.termed import with_term
from showcaller.model import OscUdpOutlet
from showcaller.run import events as ev
from showcaller.run.events import Reporter

Address = tuple[Any, ...]
Lookup = Callable[[str, int], list[tuple[int, Address]]]
"""(host, port) → (address family, socket address) of each answer, best first; raises OSError."""

_FIRST_LOOK_S = 0.05
"""Opening waits so long for a name; most are known by then, and a run must not begin late for one."""

_NAME_S = 10.0
"""How often a name is looked up again while its outlet works."""

_ASIDE_S = 0.4

_PASSING = (errno.EAGAIN, errno.ENOBUFS, errno.EMSGSIZE, errno.ENOMEM)
"""Reasons that are about one message and do not mean that the device is away."""


def look_up(host: str, port: int) -> list[tuple[int, Address]]:
    """The addresses of a name as the system knows them now. May take seconds."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_DGRAM)
    return [(int(one[0]), one[4]) for one in found]


def _is_name(host: str) -> bool:
    try:
        ip_address(host.partition("%")[0])
    except ValueError:
        return True
    return False


class UdpPort:
    """A connected, non-blocking UDP socket. Connected, so that 'nobody listens there' can be heard."""

    def __init__(
        self, outlet: OscUdpOutlet, report: Reporter, lookup: Lookup = look_up, term: int = 0
    ) -> None:
        self._outlet, self._report, self._lookup = outlet, report, lookup
        self._presence = Presence(outlet.id)
        self._term = term
        self._named = _is_name(outlet.host)
        self._next_name_s = 0.0
        # Written by one thread each, read by the other: the socket in use is the keeper's to set, the lost
        # one and the count are the sender's.
        self._socket: socket.socket | None = None
        self._address: Address = ()
        self._lost: tuple[socket.socket, str] | None = None
        self._unsent = self._counted = 0
        self._aside: tuple[socket.socket, float] | None = None
        self._why = self._words("its name is being looked up")
        self._closing = False
        self._nudge, self._tried = threading.Event(), threading.Event()
        if not self._named:
            self._try(time.monotonic())  # nothing to wait for
        self._thread = threading.Thread(target=self._keep, name=f"outlet {outlet.id}", daemon=True)
        self._thread.start()
        if self._named:
            self._tried.wait(_FIRST_LOOK_S)

    @property
    def is_free(self) -> bool:
        """A datagram leaves at once."""
        return True

    def frame(self, body: bytes) -> bytes:
        """A datagram is the message itself."""
        return with_term(body, self._term) if self._outlet.term else body

    def send(self, letter: OutboundBatch) -> None:
        """Send every packet now."""
        wire = self._socket
        if wire is None:
            self._not_sent(letter, self._why)
            return
        refused = False
        try:
            for packet in letter.packets:
                try:
                    wire.send(packet)
                except ConnectionRefusedError:
                    # The system is reporting on an earlier datagram; this one has not left yet.
                    refused = True
                    wire.send(packet)
        except OSError as error:
            away = error.errno not in _PASSING
            if away:
                self._lost = (wire, reason(error))
            self._not_sent(letter, reason(error), away)
            return
        if not letter.cue:
            return
        if refused:
            self._report(failed(self._outlet.id, letter, f"nobody listens on port {self._outlet.port}"))
        else:
            self._report(sent(self._outlet.id, letter))

    def _not_sent(self, letter: OutboundBatch, why: str, away: bool = True) -> None:
        if away:
            self._unsent += len(letter.packets)
            self._nudge.set()
        if letter.cue:
            self._report(failed(self._outlet.id, letter, why))

    def hold(self) -> None:
        """Nothing waits here, and without a socket nothing leaves."""
        self.close()

    def close(self) -> None:
        """Close the socket."""
        self._closing = True
        self._nudge.set()
        self._thread.join(timeout=1)  # it may hang in a look-up; it is a daemon, and may be left behind
        self._use(None)
        self._put_aside()

    # --- the keeper's thread ---

    def _keep(self) -> None:
        while not self._closing:
            now_s = time.monotonic()
            self._put_aside(now_s)
            self._take_lost(now_s)
            self._presence.unsent += self._unsent - self._counted
            self._counted = self._unsent
            if self._presence.due(now_s):
                self._try(now_s)
            elif self._named and self._socket is not None and now_s >= self._next_name_s:
                self._follow_name()
            self._say(self._presence.look(time.monotonic()))
            self._nudge.wait(self._wait_s(time.monotonic()))
            if self._nudge.is_set():
                self._nudge.clear()
                self._presence.nudge(time.monotonic())

    def _wait_s(self, now_s: float) -> float:
        if not self._presence.here:
            until_s = self._presence.next_try_s
        else:
            settled_s = self._presence.settled_s
            until_s = settled_s if settled_s > now_s else now_s + _NAME_S
            until_s = min(until_s, self._next_name_s) if self._named else until_s
        return max(0.01, until_s - now_s)

    def _take_lost(self, now_s: float) -> None:
        lost, self._lost = self._lost, None
        if lost is not None and lost[0] is self._socket:
            self._why = self._words(lost[1])
            self._use(None)
            self._say(self._presence.lost(self._why, now_s))

    def _try(self, now_s: float) -> None:
        try:
            wire, address = self._connected(self._lookup(self._outlet.host, self._outlet.port)[0])
        except (OSError, UnicodeError) as error:  # a name with an empty label is a UnicodeError
            self._why = self._words(reason(error))
            self._say(self._presence.failed(self._why, now_s))
        else:
            self._use(wire, address)
            self._next_name_s = now_s + _NAME_S
            self._say(self._presence.opened(now_s))
        self._tried.set()

    def _follow_name(self) -> None:
        """Go to where the name points now. A look-up that fails changes nothing: the old address works."""
        self._next_name_s = time.monotonic() + _NAME_S
        try:
            found = self._lookup(self._outlet.host, self._outlet.port)
            if self._address in [address for _, address in found]:
                return
            wire, address = self._connected(found[0])
        except (OSError, UnicodeError):
            return
        self._use(wire, address)
        words = f"{self._outlet.host} is now at {address[0]}"
        self._say(ev.OutletState(outlet=self._outlet.id, state="open", why=words))

    def _connected(self, to: tuple[int, Address]) -> tuple[socket.socket, Address]:
        family, address = to
        made = socket.socket(family, socket.SOCK_DGRAM)
        try:
            made.setblocking(False)
            made.connect(address)
        except OSError:
            made.close()
            raise
        return made, address

    def _use(self, wire: socket.socket | None, address: Address = ()) -> None:
        old, self._socket, self._address = self._socket, wire, address
        if old is not None:
            self._put_aside()
            self._aside = (old, time.monotonic())

    def _put_aside(self, now_s: float = inf) -> None:
        """Close the socket before this one. Not at once: the sender may be in the middle of using it."""
        if self._aside is not None and now_s - self._aside[1] > _ASIDE_S:
            self._aside[0].close()
            self._aside = None

    def _words(self, why: str) -> str:
        return f"{self._outlet.host} cannot be reached: {why}"

    def _say(self, event: ev.Event | None) -> None:
        if event is not None:
            self._report(event)
