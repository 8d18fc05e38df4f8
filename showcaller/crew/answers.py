"""What the server answers to a browser: files of the page, getting in, choosing a position, the live line.

Every answer carries the same strict headers; a request for another host or from another origin is refused
before anything is looked at. Files are read once, at the start: no path of a request ever reaches the disk.
"""

import asyncio
import json
import logging
import time
from collections.abc import Awaitable, Callable
from importlib.resources import files
from typing import Any

from aiohttp import web

from showcaller.crew.attempts import WrongTries
from showcaller.crew.connections import Connections
from showcaller.crew.entry import SESSION_LASTS_S, Door, Session
from showcaller.crew.hub import Hub, speaker, wall_s
from showcaller.crew.page import LONGEST_MESSAGE, CrewPage
from showcaller.crew.texts import choose_language, texts

log = logging.getLogger(__name__)

COOKIE = "__Host-crew"
"""And the port: browsers send a cookie to every port of a host, and two shows may be served."""
LONGEST_BODY = 2048
BODY_WITHIN_S = 5.0
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), screen-wake-lock=(self)",
    "Cache-Control": "no-store",
    "Server": "showcaller",
}
_TYPES = {"html": "text/html", "js": "text/javascript", "css": "text/css", "svg": "image/svg+xml"}

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class WebAnswers:
    """``hosts`` are the names, each with its port, that a browser may ask for this server by."""

    def __init__(self, door: Door, hub: Hub, hosts: frozenset[str], keep: Callable[[], None]) -> None:
        self._door = door
        self._hub = hub
        self._hosts = hosts
        self._keep = keep
        self._cookie = f"{COOKIE}-{next(iter(hosts)).rpartition(':')[2]}"
        self._attempts = WrongTries()
        self._files = _static()
        self.connections: Connections | None = None

    def application(self) -> web.Application:
        """What serves all of it."""
        app = web.Application(client_max_size=LONGEST_BODY, middlewares=[self._guard])
        app.router.add_get("/texts", self._texts)
        app.router.add_post("/enter", self._enter)
        app.router.add_get("/me", self._me)
        app.router.add_post("/position", self._position)
        app.router.add_post("/leave", self._leave)
        app.router.add_get("/live", self._live)
        app.router.add_get("/{name:[a-z.]*}", self._file)
        return app

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        try:
            self._check(request)
            found = await handler(request)
        except web.HTTPException as error:
            found = web.Response(status=error.status, text="")
        except TimeoutError:
            found = web.Response(status=408, text="")
        if not found.prepared:
            found.headers.update(HEADERS)
            if request.method not in ("GET", "POST") or found.status >= 400:
                found.force_close()
        return found

    def _check(self, request: web.Request) -> None:
        """Refuse what does not ask for this server by its name, or comes from another page."""
        if request.headers.getall("Host", []) not in ([host] for host in self._hosts):
            raise web.HTTPMisdirectedRequest
        own = f"https://{request.headers['Host']}"
        changes = request.method != "GET" or request.path == "/live"
        origin = request.headers.getall("Origin", [])
        if (changes and origin != [own]) or origin not in ([], [own]):
            raise web.HTTPForbidden
        if changes and request.headers.get("Sec-Fetch-Site", "same-origin") != "same-origin":
            raise web.HTTPForbidden

    async def _file(self, request: web.Request) -> web.Response:
        name = request.match_info["name"] or "index.html"
        if name not in self._files:
            raise web.HTTPNotFound
        body, kind = self._files[name]
        return web.Response(body=body, content_type=kind, charset="utf-8")

    async def _texts(self, request: web.Request) -> web.Response:
        language = choose_language(request.headers.get("Accept-Language", ""))
        return web.json_response({"language": language, "texts": texts()})

    async def _enter(self, request: web.Request) -> web.Response:
        said = await _body(request)
        secret, pin, name = (str(said.get(key, ""))[:100] for key in ("link", "pin", "name"))
        address, now_s = request.remote or "", time.monotonic()
        waits_s = self._attempts.wait_s(address, now_s)
        if waits_s > 0:
            return web.json_response({"wait_s": round(waits_s + 0.5)}, status=429)
        found = self._door.let_in(secret, pin, name, wall_s())
        if found is None:
            self._attempts.wrong(address, now_s, in_all=self._door.knows(secret, wall_s()))
            log.warning("a wrong PIN or link from %s", address)
            waits_s = self._attempts.wait_s(address, now_s)
            return web.json_response({"wait_s": round(waits_s + 0.5) if waits_s else 0}, status=403)
        self._attempts.right(address)
        session, cookie = found
        self._keep()
        answer = web.json_response(self._about(session))
        answer.set_cookie(
            self._cookie,
            cookie,
            max_age=round(SESSION_LASTS_S),
            path="/",
            secure=True,
            httponly=True,
            samesite="Strict",
        )
        return answer

    def _session(self, request: web.Request) -> Session:
        found = self._door.session_of(request.cookies.get(self._cookie, ""), wall_s())
        if found is None:
            raise web.HTTPUnauthorized
        return found

    def _about(self, session: Session) -> dict[str, Any]:
        rows = [
            {"key": p.key, "name": p.name, "shape": p.shape, "hue": p.hue, "clears": bool(p.clearances)}
            for p in self._hub.positions
        ]
        return {"name": session.name, "position": session.position, "fixed": session.fixed, "positions": rows}

    async def _me(self, request: web.Request) -> web.Response:
        return web.json_response(self._about(self._session(request)))

    async def _position(self, request: web.Request) -> web.Response:
        session = self._session(request)
        key = str((await _body(request)).get("position", ""))[:200]
        if key and self._hub.position_of(key) is None:
            raise web.HTTPNotFound
        chosen = self._door.take_position(session.id, key)
        if chosen is None:
            raise web.HTTPForbidden
        self._keep()
        self._hub.sweep()
        return web.json_response(self._about(chosen))

    async def _leave(self, request: web.Request) -> web.Response:
        self._door.put_out(self._session(request).id)
        self._keep()
        self._hub.sweep()
        answer = web.json_response({})
        answer.del_cookie(self._cookie, path="/", secure=True, httponly=True, samesite="Strict")
        return answer

    async def _live(self, request: web.Request) -> web.StreamResponse:
        session = self._session(request)
        position = self._hub.position_of(session.position)
        if position is None:
            raise web.HTTPConflict  # choose one first
        socket = web.WebSocketResponse(
            max_msg_size=LONGEST_MESSAGE, compress=False, timeout=2.0, writer_limit=1 << 15
        )
        if not socket.can_prepare(request).ok:
            raise web.HTTPBadRequest
        socket.headers.update(HEADERS)
        await socket.prepare(request)
        if self.connections is not None:
            self.connections.known(request.transport)
        page = CrewPage(socket, request.transport, speaker(session, position), self._hub.beat, self._hub.hear)
        self._hub.add(page, session)
        try:
            await page.run()
        finally:
            self._hub.remove(page)
            page.abort()
        return socket


async def _body(request: web.Request) -> dict[str, Any]:
    """A small JSON object, come in good time."""
    async with asyncio.timeout(BODY_WITHIN_S):
        data = await request.read()
    try:
        found = json.loads(data)
    except (ValueError, RecursionError):
        raise web.HTTPBadRequest from None
    if not isinstance(found, dict):
        raise web.HTTPBadRequest
    return found


def _static() -> dict[str, tuple[bytes, str]]:
    """The files of the page by name, each with its type."""
    found = {}
    for path in (files("showcaller.crew") / "static").iterdir():
        kind = _TYPES.get(path.name.rpartition(".")[2])
        if kind is not None:
            found[path.name] = (path.read_bytes(), kind)
    return found
