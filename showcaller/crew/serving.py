"""The server: it opens its port, follows the run, and tells whoever started it how it stands."""

import asyncio
import contextlib
import logging
import os
import socket
import ssl
from collections.abc import Callable
from pathlib import Path

from aiohttp import web
from aiohttp.http_exceptions import HttpProcessingError

from showcaller.crew.addresses import own_names
from showcaller.crew.answers import WebAnswers
from showcaller.crew.certificate import fingerprint, tls
from showcaller.crew.connections import ConnectionLimits, Connections
from showcaller.crew.entry import Door
from showcaller.crew.following import Follower, Told
from showcaller.crew.hub import Hub, wall_s
from showcaller.crew.keeping import KeepingError, Kept
from showcaller.values import Struct, field

log = logging.getLogger(__name__)

PORT = 8443
_NEXT_PORTS = 20
SWEEP_S = 0.5


class _OneLine(logging.Filter):
    """What is no HTTP is told in a line, without a traceback for each."""

    def filter(self, record: logging.LogRecord) -> bool:
        if record.exc_info and isinstance(record.exc_info[1], HttpProcessingError):
            record.exc_info = None
            record.msg, record.args = "%s, which is no request", (record.getMessage(),)
        return True


NICE = 10


def give_way() -> None:
    """This process takes no more of the machine than is left over: the engine fires beside it."""
    if hasattr(os, "nice"):
        os.nice(NICE)


_ONE_LINE = _OneLine()


class ServingError(Exception):
    """Why no crew pages can be served, in one sentence."""


class Wanted(Struct, frozen=True):
    """What to serve: the runs in ``where`` (or the run), the positions of ``show`` before one is open; at
    ``port`` (or one of the next, unless ``only``) of ``bind``, asked for also as ``hosts``."""

    where: Path
    show: Path | None = None
    port: int = PORT
    only: bool = False
    bind: str = "0.0.0.0"
    hosts: tuple[str, ...] = ()
    limits: ConnectionLimits = field(default_factory=ConnectionLimits)


class Server:
    """Belongs to one event loop. ``door`` is read and changed by it alone while it serves."""

    def __init__(self, wanted: Wanted, kept: Kept) -> None:
        self._wanted = wanted
        self._kept = kept
        self._lock = kept.lock()
        self.door: Door = kept.door()
        self.hub = Hub(self.door, wall_s)
        self.trouble = ""
        self._listening, self.port = _listen(wanted)
        names = own_names(wanted.bind, wanted.hosts)
        self.address = f"https://{names[0]}:{self.port}/"
        certificate, key = kept.certificate(names)
        self.fingerprint = fingerprint(certificate.read_bytes())
        self._tls: ssl.SSLContext = tls(certificate, key)
        hosts = frozenset(f"{name}:{self.port}" for name in names)
        self._answers = WebAnswers(self.door, self.hub, hosts, self.keep)
        self.keep()

    def keep(self) -> None:
        """Write what has changed of links, PIN and sessions."""
        if not self.door.changed:
            return
        try:
            self._kept.keep(self.door)
            self.trouble = ""
        except KeepingError as error:
            self.trouble = str(error)
            log.warning("%s", error)

    def link(self, position: str) -> str:
        """The address of a link for a position (its key; empty: to be chosen on the page)."""
        link = self.door.link_for(position, wall_s())
        self.keep()
        return f"{self.address}#{link.secret}"

    async def serve(self, look: Callable[[], None] = lambda: None) -> None:
        """Until cancelled; ``look`` is called twice a second, and when somebody comes or goes."""
        loop = asyncio.get_running_loop()

        def tell(told: Told) -> None:
            with contextlib.suppress(RuntimeError):  # the loop is closed
                loop.call_soon_threadsafe(self.hub.take, told)

        follower = Follower(self._wanted.where, tell, self._wanted.show)
        self.hub.follower = follower
        runner = web.AppRunner(
            self._answers.application(), access_log=None, handle_signals=False, lingering_time=0,
            keepalive_timeout=10.0, shutdown_timeout=0.5, max_line_size=2048, max_field_size=4096,
        )  # fmt: skip
        await runner.setup()
        logging.getLogger("aiohttp.server").addFilter(_ONE_LINE)
        assert runner.server is not None
        connections = Connections(runner.server, self._tls, self._wanted.limits)
        self._answers.connections = connections
        follower.start()
        accepting = loop.create_task(connections.accept(self._listening))
        try:
            while not accepting.done():
                self.hub.sweep()
                look()
                await asyncio.sleep(SWEEP_S)
            await accepting
        finally:
            accepting.cancel()
            await asyncio.gather(accepting, return_exceptions=True)
            self._listening.close()
            await runner.cleanup()
            await loop.run_in_executor(None, follower.stop)
            self._lock.release()


def _listen(wanted: Wanted) -> tuple[socket.socket, int]:
    """A socket that listens, and its port.

    Raises:
        ServingError: none of the ports is free.
    """
    last = wanted.port if wanted.only or wanted.port == 0 else wanted.port + _NEXT_PORTS
    why = ""
    for port in range(wanted.port, last + 1):
        try:
            found = socket.create_server((wanted.bind, port), backlog=128)
        except OSError as error:
            why = (error.strerror or str(error)).lower()
            continue
        found.setblocking(False)
        return found, int(found.getsockname()[1])
    raise ServingError(f"port {wanted.port} of {wanted.bind} cannot be listened at: {why}; give another")
