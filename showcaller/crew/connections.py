"""Who may hold a connection: so many an address, so many in all, and none that says nothing."""

import asyncio
import logging
import socket
import ssl
import time
from collections.abc import Callable
from dataclasses import dataclass

from showcaller.values import Struct

log = logging.getLogger(__name__)

HANDSHAKE_S = 5.0
UNKNOWN_FOR_S = 20.0
"""A connection over which nobody got in is closed after so long; a browser opens another when it needs it."""
SWEEP_S = 0.5


class ConnectionLimits(Struct, frozen=True):
    """How many connections at most."""

    in_all: int = 600
    per_address: int = 24


@dataclass(slots=True)
class _Held:
    transport: asyncio.BaseTransport
    address: str
    since_s: float
    known: bool = False


class Connections:
    """Accepts connections within limits and gives them to ``protocol`` (makes one for each)."""

    def __init__(
        self, protocol: Callable[[], asyncio.BaseProtocol], tls: ssl.SSLContext, limits: ConnectionLimits
    ) -> None:
        self._protocol = protocol
        self._tls = tls
        self._limits = limits
        self._held: list[_Held] = []
        self._greeting: dict[str, int] = {}
        self._tasks: set[asyncio.Task[None]] = set()
        self._refused_s = -1e9

    async def accept(self, listening: socket.socket) -> None:
        """Until cancelled."""
        loop = asyncio.get_running_loop()
        sweeping = loop.create_task(self._sweep())
        try:
            while True:
                try:
                    found, where = await loop.sock_accept(listening)
                except OSError as error:  # too many files open: wait until some are closed
                    log.warning("a connection could not be taken: %s", error)
                    await asyncio.sleep(SWEEP_S)
                    continue
                self._take(found, str(where[0]))
        finally:
            sweeping.cancel()
            for held in self._held:
                _abort(held.transport)
            for task in list(self._tasks):
                task.cancel()

    def _take(self, found: socket.socket, address: str) -> None:
        self._forget_closed()
        there = sum(held.address == address for held in self._held) + self._greeting.get(address, 0)
        total = len(self._held) + sum(self._greeting.values())
        if there >= self._limits.per_address or total >= self._limits.in_all:
            found.close()
            if time.monotonic() - self._refused_s > 10:
                self._refused_s = time.monotonic()
                log.warning("too many connections (%d, %d from %s): one was refused", total, there, address)
            return
        self._greeting[address] = self._greeting.get(address, 0) + 1
        task = asyncio.get_running_loop().create_task(self._greet(found, address))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _greet(self, found: socket.socket, address: str) -> None:
        try:
            found.setblocking(False)
            found.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            transport, _ = await asyncio.get_running_loop().connect_accepted_socket(
                self._protocol,
                found,
                ssl=self._tls,
                ssl_handshake_timeout=HANDSHAKE_S,
                ssl_shutdown_timeout=2.0,
            )
            self._held.append(_Held(transport, address, time.monotonic()))
        except (OSError, asyncio.CancelledError):  # rubbish, another protocol, gone, or closing down
            found.close()
        finally:
            self._greeting[address] -= 1
            if not self._greeting[address]:
                del self._greeting[address]

    def known(self, transport: asyncio.BaseTransport | None) -> None:
        """Somebody has got in by this connection: it may stay."""
        for held in self._held:
            if held.transport is transport:
                held.known = True

    async def _sweep(self) -> None:
        while True:
            await asyncio.sleep(SWEEP_S)
            self._forget_closed()
            now_s = time.monotonic()
            for held in self._held:
                if not held.known and now_s - held.since_s > UNKNOWN_FOR_S:
                    _abort(held.transport)

    def _forget_closed(self) -> None:
        self._held = [held for held in self._held if not held.transport.is_closing()]


def _abort(transport: asyncio.BaseTransport) -> None:
    if isinstance(transport, asyncio.WriteTransport):
        transport.abort()
    else:
        transport.close()
