"""Somebody who is not let in, with a client that is no browser: nothing gets in, nobody else is held up.

What a browser is told to hold to is checked against what the headers mean by their standards: CSP level 3,
RFC 6265bis for cookies with the prefix ``__Host-``.
"""

import contextlib
import json
import socket
import ssl
import time
from collections.abc import Iterator

import aiohttp
import pytest
from crew_night import Night, night_of, story
from devices import wait_until
from small_shows import two_songs

from showcaller.crew.connections import ConnectionLimits
from showcaller.crew.page import ASKS_BURST, RUBBISH, TOO_MUCH, WITHDRAWN


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Night]:
    """A night that is attacked again and again; what one attack leaves behind, the next one finds."""
    with night_of(tmp_path_factory.mktemp("night"), two_songs()) as found:
        found.start()
        yield found


@pytest.fixture
def cookie(shared: Night) -> str:
    """Of somebody who is in, at the lights."""
    status, found = shared.server.enter(shared.server.link("d:lights"))
    assert status == 200
    return found


def raw(night: Night, said: bytes, address: str = "127.0.0.1") -> ssl.SSLSocket:
    """A connection over which something was said."""
    plain = socket.create_connection(("127.0.0.1", night.server.port), 5, source_address=(address, 0))
    line = night.server.trust().wrap_socket(plain, server_hostname="127.0.0.1")
    line.sendall(said)
    return line


def test_who_is_let_in_gets_a_cookie_that_no_script_and_no_other_site_can_use(shared: Night):
    link = shared.server.link()
    body = {"link": link.partition("#")[2], "pin": shared.server.status["pin"], "name": "Kim"}
    status, headers, _ = shared.server.ask("POST", "/enter", body)
    assert status == 200
    parts = {part.strip().partition("=")[0] for part in headers["set-cookie"].split(";")}
    assert {f"__Host-crew-{shared.server.port}", "HttpOnly", "Secure", "SameSite", "Path"} <= parts
    assert "Domain" not in parts
    assert "SameSite=Strict" in headers["set-cookie"]
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"


def test_without_the_cookie_there_is_nothing_but_the_empty_page(shared: Night):
    for method, path in (("GET", "/me"), ("POST", "/position"), ("POST", "/leave"), ("GET", "/live")):
        assert shared.server.ask(method, path, {} if method == "POST" else None)[0] == 401
    name = f"__Host-crew-{shared.server.port}"
    for none in (f"{name}=", f"{name}=x", f"{name}={'a' * 43}", "crew=x; ;;="):
        assert shared.server.ask("GET", "/me", cookie=none)[0] == 401
    assert b"Lights" not in shared.server.ask("GET", "/")[2]


@pytest.mark.parametrize(
    "origin", ["https://elsewhere.example", "null", "http://{host}", "https://{host}.x", ""]
)
def test_another_origin_gets_nothing_however_good_its_cookie(shared: Night, cookie: str, origin: str):
    given = origin.format(host=shared.server.host)
    assert shared.server.ask("POST", "/leave", {}, cookie, Origin=given)[0] == 403
    assert shared.server.ask("GET", "/live", None, cookie, Origin=given)[0] == 403
    assert shared.server.ask("GET", "/me", None, cookie)[0] == 200  # and it is still in


def test_a_page_of_another_site_is_known_by_what_its_browser_says(shared: Night, cookie: str):
    for site in ("cross-site", "same-site", "none"):
        assert shared.server.ask("POST", "/leave", {}, cookie, Sec_Fetch_Site=site)[0] == 403


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "localhost:1", "127.0.0.1:{port}.evil.example", ""]
)
def test_another_host_is_refused_as_after_a_name_was_pointed_here(shared: Night, cookie: str, host: str):
    given = host.format(port=shared.server.port)
    status, _, body = shared.server.ask("GET", "/me", None, cookie, Host=given, Origin="")
    assert status in (400, 421)
    assert b"Kim" not in body


PATHS = [
    "/../page.css", "/..%2fentry.py", "/%2e%2e/texts.json", "/static/app.js", "//etc/passwd", "/door.json",
    "/key.pem", "/app.js%00.html", "/.", "/..", "/app.js/", "/\\..\\key.pem", "/APP.JS", "/me/../key.pem",
]  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_no_path_reaches_a_file_that_is_not_the_pages(shared: Night, path: str):
    status, _, body = shared.server.ask("GET", path)
    assert status in (400, 404)
    assert b"PRIVATE" not in body
    assert b"import" not in body


def test_a_body_without_an_end_is_cut_off(shared: Night):
    head = f"POST /enter HTTP/1.1\r\nHost: {shared.server.host}\r\nOrigin: https://{shared.server.host}\r\n"
    sent = 0
    chunked = head.encode() + b"Transfer-Encoding: chunked\r\n\r\n"
    with raw(shared, chunked) as line, contextlib.suppress(OSError):
        while sent < 64_000_000:
            line.sendall(b"400\r\n" + b"a" * 1024 + b"\r\n")
            sent += 1024
    assert sent < 16_000_000  # what fits into buffers on the way
    assert shared.server.ask("GET", "/")[0] == 200
    assert "Traceback" not in shared.server.log.read_text()


def test_headers_without_an_end_and_requests_that_are_none_are_refused(shared: Night):
    with raw(shared, b"GET / HTTP/1.1\r\nX: " + b"a" * 60_000) as line:
        assert b" 400 " in line.recv(200)
    host = f"Host: {shared.server.host}\r\n"
    for extra in (f"{host}Host: evil\r\n", f"{host}Content-Length: 4\r\nTransfer-Encoding: chunked\r\n"):
        with raw(shared, f"POST /leave HTTP/1.1\r\n{extra}\r\n0\r\n\r\n".encode()) as line:
            assert line.recv(200).split()[1] in (b"400", b"421", b"403")


def test_nothing_is_said_without_tls(shared: Night):
    with socket.create_connection(("127.0.0.1", shared.server.port), 5) as plain:
        plain.sendall(b"GET / HTTP/1.1\r\n\r\n")
        with contextlib.suppress(ConnectionResetError):
            assert b"HTTP" not in plain.recv(200)


def test_connections_that_say_nothing_are_limited_and_leave_room_for_others(shared: Night):
    held = [socket.create_connection(("127.0.0.1", shared.server.port), 5) for _ in range(80)]
    try:  # all from one address: those beyond its limit are closed at once
        assert wait_until(lambda: sum(map(is_closed, held)) >= 80 - ConnectionLimits().per_address)
        hello = f"GET / HTTP/1.1\r\nHost: {shared.server.host}\r\n\r\n"
        with raw(shared, hello.encode(), "127.0.0.2") as line:
            assert b"200 OK" in line.recv(100)
    finally:
        for one in held:
            one.close()

    def room() -> bool:
        with contextlib.suppress(OSError):
            return shared.server.ask("GET", "/")[0] == 200
        return False

    assert wait_until(room)


def is_closed(line: socket.socket) -> bool:
    """Whether the other end has closed it."""
    line.setblocking(False)
    try:
        return line.recv(1) == b""
    except BlockingIOError:
        return False
    except OSError:
        return True


async def until_closed(line: aiohttp.ClientWebSocketResponse) -> int | None:
    """The code it is closed with."""
    while True:
        message = await line.receive(8)
        if message.type in (aiohttp.WSMsgType.CLOSED, aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.ERROR):
            return line.close_code


SAID = [
    "", "x", "[]", "3", "null", '{"k": 3}', '{"k": "go", "go": "first:start"}', '{"k": "here"}',
    '{"k": "clear", "id": "path"}', '{"k": "here", "n": "now"}', "[" * 1500,
    '{"k": "clear", "id": [], "ok": true}',
]  # fmt: skip


def test_rubbish_on_the_live_line_ends_it_and_reaches_no_engine(shared: Night):
    _, moves = shared.server.enter(shared.server.link("d:moves"))
    shared.caller.poll()
    before = len(shared.caller.book.records)

    async def said(client: aiohttp.ClientSession) -> list[int | None]:
        codes = []
        for text in SAID:
            line = await shared.server.live(client, moves)
            await line.send_str(text)
            codes.append(await until_closed(line))
        return codes

    assert set(story(said)) <= {RUBBISH, 1006}
    shared.caller.poll()
    assert len(shared.caller.book.records) == before
    assert shared.server.log.read_text().count("what no page sends") == len(SAID)  # a line each


def test_too_long_or_too_many_messages_end_the_line(shared: Night, cookie: str):
    floods = (["a" * 5000], [json.dumps({"k": "here", "n": n}) for n in range(500)])

    async def said(client: aiohttp.ClientSession) -> list[int | None]:
        codes = []
        for flood in floods:
            line = await shared.server.live(client, cookie)
            with contextlib.suppress(ConnectionError):
                for text in flood:
                    await line.send_str(text)
            codes.append(await until_closed(line))
        return codes

    long, many = story(said)
    assert long in (1009, 1006)
    assert many in (TOO_MUCH, 1006)
    assert shared.server.log.read_text().count("too much at once") == 1


def test_nobody_asks_for_what_is_another_positions(shared: Night, cookie: str):
    async def said(client: aiohttp.ClientSession) -> None:
        line = await shared.server.live(client, cookie)
        await line.send_str('{"k": "clear", "id": "path", "ok": true}')
        await line.send_str('{"k": "here", "n": 1}')
        while (await line.receive_json(timeout=5))["k"] != "beat":
            pass
        await line.close()

    story(said)
    assert shared.inputs("clear") == []
    assert "not its to ask" in shared.server.log.read_text()


def test_a_page_that_asks_again_and_again_does_not_flood_the_log(shared: Night, cookie: str):
    before = len(shared.inputs("stand_by"))

    async def said(client: aiohttp.ClientSession) -> None:
        line = await shared.server.live(client, cookie)
        for _ in range(30):
            await line.send_str('{"k": "standing by"}')
        await line.send_str('{"k": "here", "n": 1}')
        while (await line.receive_json(timeout=5))["k"] != "beat":
            pass
        await line.close()

    story(said)
    shared.until(lambda: len(shared.inputs("stand_by")) > before)
    assert len(shared.inputs("stand_by")) - before <= ASKS_BURST + 1


def test_a_session_that_is_withdrawn_is_out_at_once_and_its_cookie_is_worth_nothing(shared: Night):
    server = shared.server
    link = server.link("c:nobody")
    server.until(lambda: any(x["position"] == "c:nobody" for x in server.status["links"]))
    (found,) = [x["id"] for x in server.status["links"] if x["position"] == "c:nobody"]
    assert server.enter(link)[0] == 200
    free = server.link()
    _, cookie = server.enter(free)
    assert server.ask("POST", "/position", {"position": "d:video"}, cookie)[0] == 200

    async def withdrawn(client: aiohttp.ClientSession) -> None:
        line = await server.live(client, cookie)
        assert (await line.receive_json(timeout=5))["k"] in ("state", "sheet")
        began_s = time.monotonic()
        server.do(do="withdraw", link=next(x["id"] for x in server.status["links"] if x["position"] == ""))
        assert await until_closed(line) == WITHDRAWN
        assert time.monotonic() - began_s < 1.5
        with pytest.raises(aiohttp.WSServerHandshakeError, match="401"):
            await server.live(client, cookie)

    server.until(lambda: any(x["position"] == "" for x in server.status["links"]))
    story(withdrawn)
    server.do(do="withdraw", link=found)
    assert server.ask("GET", "/me", None, cookie)[0] == 401
    assert wait_until(lambda: server.enter(link)[0] == 403)
    assert server.enter(free)[0] == 403


def test_a_thousand_wrong_pins_get_nobody_in_and_a_page_that_reads_nothing_is_dropped(
    shared: Night,
):
    """The last one here: afterwards this address has to wait."""
    link, right = shared.server.link(), shared.server.status["pin"]
    _, cookie = shared.server.enter(shared.server.link("d:lights"))
    head = (
        f"GET /live HTTP/1.1\r\nHost: {shared.server.host}\r\nOrigin: https://{shared.server.host}\r\n"
        f"Cookie: {cookie}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
        "Sec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n"
    )
    with raw(shared, head.encode()) as line:
        assert b"101 " in line.recv(20)  # and it says nothing and reads nothing
        found: dict[int, int] = {}
        for n in range(1000):
            status, _ = shared.server.enter(link, f"{(int(right) + 1 + n) % 1_000_000:06}")
            found[status] = found.get(status, 0) + 1
        assert set(found) == {403, 429}
        assert found[403] < 20  # so many were looked at, while a thousand were tried
        # The right one has to wait as well: an address is slowed down whatever it says.
        assert shared.server.enter(link, right)[0] == 429
        assert wait_until(lambda: "said nothing for" in shared.server.log.read_text())
    assert shared.server.ask("GET", "/me", None, cookie)[0] == 200  # who is in is not touched
