"""A server steered by a desk: lines of JSON, in on one end and out on the other. It ends when that end does.

In: ``{"do": "link", "position": KEY}`` (a link for a position, "" to choose), ``{"do": "withdraw", "link":
ID}``, ``{"do": "put out", "session": ID}``, ``{"do": "withdraw all"}``. Out: :func:`status`, whenever it has
changed, and ``{"link": ADDRESS, "position": KEY}``.
"""

import asyncio
import contextlib
import json
import logging
import sys
import threading
import time
from collections import deque
from typing import Any

from showcaller.crew.hub import wall_s
from showcaller.crew.serving import Server

log = logging.getLogger(__name__)


class _Lines(logging.Handler):
    """Keeps the last of what was logged, for the desk."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: deque[str] = deque(maxlen=3)

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(f"{time.strftime('%H:%M:%S')}  {record.getMessage()}"[:200])


LINES = _Lines()


def status(server: Server) -> dict[str, Any]:
    """How it stands: where, by what PIN, which links, who is in and connected."""
    names = {p.key: p.name for p in server.hub.positions}
    connected = server.hub.connected()
    door = server.door
    return {
        "address": server.address,
        "fingerprint": server.fingerprint,
        "pin": door.pin,
        "trouble": server.trouble,
        "lines": list(LINES.said),
        "positions": [{"key": p.key, "name": p.name} for p in server.hub.positions],
        "links": [
            {
                "id": x.id,
                "position": x.position,
                "name": names.get(x.position, ""),
                "until_s": round(x.until_s),
            }
            for x in door.links.values()
            if x.until_s > wall_s()
        ],
        "in": [
            {
                "session": s.id,
                "link": s.link,
                "name": s.name,
                "position": names.get(s.position, ""),
                "pages": connected.get(s.id, 0),
            }
            for s in door.sessions.values()
            if s.until_s > wall_s()
        ],
    }


def obey(server: Server, asked: dict[str, Any]) -> dict[str, Any] | None:
    """Do what the desk asks; what it is answered, if anything.

    Raises:
        KeyError: it is not understood.
    """
    match asked["do"]:
        case "link":
            position = str(asked["position"])
            return {"link": server.link(position), "position": position}
        case "withdraw":
            server.door.withdraw(str(asked["link"]))
        case "put out":
            server.door.put_out(str(asked["session"]))
        case "withdraw all":
            server.door.withdraw_all()
        case other:
            raise KeyError(other)
    server.keep()
    server.hub.sweep()
    return None


async def serve_a_desk(server: Server) -> None:
    """Serve until the desk's end of the pipe is closed."""
    loop = asyncio.get_running_loop()
    ended = asyncio.Event()
    lines: asyncio.Queue[str] = asyncio.Queue()
    said: list[dict[str, Any]] = []

    def read() -> None:
        for line in sys.stdin:
            with contextlib.suppress(RuntimeError):
                loop.call_soon_threadsafe(lines.put_nowait, line)
        with contextlib.suppress(RuntimeError):
            loop.call_soon_threadsafe(ended.set)

    def look() -> None:
        now = status(server)
        if [now] != said:
            said[:] = [now]
            tell(now)

    def tell(what: dict[str, Any]) -> None:
        try:
            sys.stdout.write(json.dumps(what) + "\n")
            sys.stdout.flush()
        except OSError:
            ended.set()

    async def hear() -> None:
        while True:
            line = await lines.get()
            try:
                answer = obey(server, json.loads(line))
            except (ValueError, KeyError, TypeError) as error:
                log.warning("the desk asked for something that is not known: %s", error)
                continue
            if answer is not None:
                tell(answer)
            look()

    logging.getLogger().addHandler(LINES)
    threading.Thread(target=read, name="hearing the desk", daemon=True).start()
    serving = loop.create_task(server.serve(look))
    hearing = loop.create_task(hear())
    ending = loop.create_task(ended.wait())
    await asyncio.wait([serving, ending], return_when=asyncio.FIRST_COMPLETED)
    for task in (hearing, ending, serving):
        task.cancel()
    await asyncio.gather(serving, hearing, ending, return_exceptions=True)
