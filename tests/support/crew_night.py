"""A night with crew pages: a real engine, the page server apart, a caller steered by tests."""

import asyncio
import contextlib
import gc
import http.client
import json
import os
import queue
import signal
import ssl
import subprocess
import sys
import threading
import time
import warnings
from collections.abc import Callable, Coroutine, Iterator
from pathlib import Path
from typing import Any

import aiohttp
from devices import end_engines

from showcaller.calling.session import RunSession, open_session
from showcaller.engine.launch import new_run_folder
from showcaller.model import Show, show_text
from showcaller.run import commands as c


class Served:
    """The server as a desk starts it, listening on this machine alone."""

    def __init__(self, folder: Path, port: int = 0) -> None:
        env = {**os.environ, "XDG_STATE_HOME": str(folder / "state"), "PYTHONWARNINGS": "error"}
        args = [sys.executable, "-m", "showcaller.crew", str(folder / "runs"), str(folder / "show.json")]
        self.log = folder / "server.log"
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [*args, str(port), "127.0.0.1"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=log,
                env=env, text=True, bufsize=1,
            )  # fmt: skip
        self.said: queue.Queue[dict[str, Any]] = queue.Queue()
        self.status: dict[str, Any] = {}
        self._reading = threading.Thread(target=self._read, daemon=True)
        self._reading.start()
        self.until(lambda: bool(self.status))
        self.port = int(self.status["address"].rstrip("/").rpartition(":")[2])
        self.host = f"127.0.0.1:{self.port}"

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.put(json.loads(line))

    def until(self, true: Callable[[], bool], timeout_s: float = 30.0) -> None:
        """Take in what the server says until something is true of it."""
        end = time.monotonic() + timeout_s
        while not true():
            told = self.said.get(timeout=max(0.01, end - time.monotonic()))
            if "address" in told:
                self.status = told
            else:
                self.last_link = told

    def do(self, **asked: Any) -> None:
        """Ask something of it, as the desk does."""
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(asked) + "\n")
        self.process.stdin.flush()

    def link(self, position: str = "") -> str:
        """A link for a position, or to choose."""
        self.last_link: dict[str, Any] = {}
        self.do(do="link", position=position)
        self.until(lambda: self.last_link.get("position") == position)
        return str(self.last_link["link"])

    def kill(self) -> None:
        """Gone, without a word."""
        self.process.send_signal(signal.SIGKILL)
        self.stop()

    def stop(self) -> None:
        """The desk closes its end."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        with contextlib.suppress(OSError):
            self.process.stdin.close()
        self.process.wait(10)
        self._reading.join()
        self.process.stdout.close()

    # A client that is no browser.

    def trust(self) -> ssl.SSLContext:
        """Believes the server's own certificate and no other."""
        found = next((self.log.parent / "state").glob("showcaller/crew/*/certificate.pem"))
        return ssl.create_default_context(cafile=str(found))

    def ask(
        self, method: str, path: str, body: Any = None, cookie: str = "", **headers: str
    ) -> tuple[int, dict[str, str], bytes]:
        """One request: (status, headers, body). Host and Origin are right unless given."""
        connection = http.client.HTTPSConnection("127.0.0.1", self.port, timeout=8, context=self.trust())
        all_headers = {"Host": self.host, "Origin": f"https://{self.host}", "Cookie": cookie, **headers}
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for name, value in all_headers.items():
                if value:
                    connection.putheader(name.replace("_", "-"), value)
            data = b"" if body is None else json.dumps(body).encode()
            if method != "GET":
                connection.putheader("Content-Length", str(len(data)))
            connection.endheaders(data)
            answer = connection.getresponse()
            return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        finally:
            connection.close()

    def enter(self, link: str, pin: str | None = None, name: str = "Kim") -> tuple[int, str]:
        """(status, cookie) of somebody who comes in."""
        body = {"link": link.partition("#")[2], "pin": pin or self.status["pin"], "name": name}
        status, headers, _ = self.ask("POST", "/enter", body)
        return status, headers.get("set-cookie", "").partition(";")[0]

    async def live(self, client: aiohttp.ClientSession, cookie: str, **headers: str) -> Any:
        """A live line, as a browser opens it."""
        given = {"Origin": f"https://{self.host}", "Cookie": cookie, **headers}
        return await client.ws_connect(f"wss://{self.host}/live", headers=given, ssl=self.trust())


def story(what: Callable[[aiohttp.ClientSession], Coroutine[Any, Any, Any]]) -> Any:
    """Run what a client does, to its end and that of its connections."""

    async def told() -> Any:
        async with aiohttp.ClientSession() as client:
            found = await what(client)
        await asyncio.sleep(0.05)  # TLS ends behind the session's back
        gc.collect()
        return found

    with warnings.catch_warnings():
        # A connection that the server cuts under TLS is never closed by the client's library.
        warnings.simplefilter("ignore", ResourceWarning)
        return asyncio.run(told())


class Night:
    """The run, its caller and the server. ``start`` begins the run."""

    def __init__(self, folder: Path, show: Show) -> None:
        self.folder = folder
        text = show_text(show)
        (folder / "show.json").write_text(text, encoding="utf-8")
        self.run = new_run_folder(folder / "runs", text)
        self.caller: RunSession = open_session(self.run)
        self.server = Served(folder)

    def until(self, true: Callable[[], bool], timeout_s: float = 30.0) -> None:
        """The caller's desk looks at the run until something is true of it."""
        end = time.monotonic() + timeout_s
        while True:
            self.caller.poll()
            if true():
                return
            assert time.monotonic() < end, "it did not come true in time"
            time.sleep(0.005)

    def send(self, command: c.Command) -> None:
        """The caller presses a key, and sees it in the log."""
        before = len(self.caller.book.records)
        self.caller.send(command)
        self.until(lambda: any(r.input == command for r in self.caller.book.records[before:]))

    def start(self) -> None:
        """Open the run, outputs muted."""
        self.send(c.Start(caller="Ines", muted=True))

    def inputs(self, kind: str) -> list[Any]:
        """Inputs of a kind in the log as the caller's desk has it."""
        self.caller.poll()
        return [r.input for r in self.caller.book.records if r.input.kind == kind]

    def serve_again(self) -> None:
        """The server comes back at the same port."""
        self.server = Served(self.folder, self.server.port)

    def close(self) -> None:
        """Everything ends."""
        if self.server.process.poll() is None:
            self.server.stop()
        self.caller.close()
        end_engines(self.folder / "runs")


@contextlib.contextmanager
def night_of(folder: Path, show: Show) -> Iterator[Night]:
    """A night that ends with the test."""
    found = Night(folder, show)
    try:
        yield found
    finally:
        found.close()
