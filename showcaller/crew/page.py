"""One page that is connected: what waits to be told to it, and what it says. A slow reader is dropped."""

import asyncio
import json
import logging
import time
from collections.abc import Callable
from typing import Any

from aiohttp import WSMsgType, web

from showcaller.crew.asking_rate import AskingRate

log = logging.getLogger(__name__)

LONGEST_MESSAGE = 2048
"""Bytes of what a page says."""
SILENT_AFTER_S = 4.0
"""Pages speak twice a second or more; one that does not is gone."""
SLOW_AFTER_S = 4.0
"""A page that does not take what it is sent for so long is dropped; it connects again when it can."""
MESSAGES_PER_S, BURST = 12.0, 40.0
ASKS_PER_S, ASKS_BURST = 2.0, 6.0
"""What of it may reach the engine."""
WITHDRAWN, TOO_MUCH, RUBBISH = 4401, 4429, 4400
"""Why a connection was closed, as the page is told."""


class CrewPage:
    """``beat`` gives the answer to a page's heartbeat; ``hear`` takes what else it asks, as a dictionary."""

    def __init__(
        self,
        socket: web.WebSocketResponse,
        transport: asyncio.Transport | None,
        who: str,
        beat: Callable[[Any], dict[str, Any]],
        hear: Callable[["CrewPage", dict[str, Any]], None],
    ) -> None:
        self.socket = socket
        self._transport = transport
        self.who = who
        self.session = ""
        self.position = ""
        self.since_s = time.monotonic()
        self._beat = beat
        self._hear = hear
        self._waiting: dict[str, str] = {}
        self._something = asyncio.Event()
        self._heard_s = time.monotonic()
        self._speaks = AskingRate(MESSAGES_PER_S, BURST)
        self.asks = AskingRate(ASKS_PER_S, ASKS_BURST)
        self.closing: int | None = None

    def tell(self, what: str, text: str) -> None:
        """Tell it; the newest of a kind takes the place of one that still waits."""
        self._waiting[what] = text
        self._something.set()

    def close(self, code: int) -> None:
        """Close it with this code, after what waits."""
        self.closing = self.closing or code
        self._something.set()

    async def run(self) -> None:
        """Until it is gone."""
        writing = asyncio.create_task(self._write())
        try:
            await self._read()
        finally:
            writing.cancel()
            await asyncio.gather(writing, return_exceptions=True)

    async def _read(self) -> None:
        while self.closing is None:
            try:
                message = await self.socket.receive(SILENT_AFTER_S)
            except TimeoutError:
                self._drop(f"said nothing for {SILENT_AFTER_S:g} s")
                return
            if message.type != WSMsgType.TEXT:
                if message.type not in (WSMsgType.CLOSE, WSMsgType.CLOSING, WSMsgType.CLOSED):
                    self._drop("sent what no page sends")
                return
            if not self._speaks.take(time.monotonic()):
                self._drop("said too much at once", TOO_MUCH)
                return
            if not self._take(message.data):
                self._drop("sent what no page sends", RUBBISH)
                return

    def _take(self, text: str) -> bool:
        try:
            said = json.loads(text)
            kind = said["k"]
        except (ValueError, KeyError, TypeError, RecursionError):
            return False
        if kind == "here":
            stamp = said.get("n")
            if isinstance(stamp, bool) or not isinstance(stamp, int | float):
                return False
            self.tell("beat", json.dumps(self._beat(stamp)))
            return True
        try:
            self._hear(self, said)
        except (ValueError, KeyError, TypeError):
            return False
        return True

    async def _write(self) -> None:
        while True:
            await self._something.wait()
            self._something.clear()
            waiting, self._waiting = self._waiting, {}
            try:
                async with asyncio.timeout(SLOW_AFTER_S):
                    for text in waiting.values():
                        await self.socket.send_str(text)
                    if self.closing is not None:
                        await self.socket.close(code=self.closing, drain=False)
                        return
            except TimeoutError:
                self._drop("does not take what it is sent")
                return
            except (ConnectionError, RuntimeError):  # gone meanwhile
                return

    def _drop(self, why: str, code: int | None = None) -> None:
        log.warning("%s %s: disconnected", self.who, why)
        self.closing = self.closing or code or 1001
        self.abort()

    def abort(self) -> None:
        """Cut the connection, whatever still waits in it."""
        if self._transport is not None:
            self._transport.abort()
