"""The crew pages' server, as this desk has it: a process of its own that ends when the desk does. No Qt."""

import contextlib
import json
import os
import subprocess
import sys
import threading
import time
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

AGAIN_AFTER_S = 2.0
"""A server that ended by itself is started again after so long."""
_ENDS_WITHIN_S = 3.0


class CrewServer:
    """``status`` is the server's last word on itself, as ``crew/steering.py`` has it; ``trouble`` a sentence
    while it does not run; ``links`` are addresses by the position's key."""

    def __init__(self, runs: Path, show: Path | None, port: int) -> None:
        self._runs, self._show, self._port = runs, show, port
        self.status: dict[str, Any] = {}
        self.links: dict[str, str] = {}
        self.trouble = ""
        self._heard: SimpleQueue[dict[str, Any]] = SimpleQueue()
        self._process: subprocess.Popen[str] | None = None
        self._ended_s = 0.0
        self._closed = False
        self._start()

    def _start(self) -> None:
        show = self._show or self._runs / "no show"
        with contextlib.suppress(OSError):
            self._runs.mkdir(parents=True, exist_ok=True)
        try:
            log = (self._runs / "crew.log").open("ab")
        except OSError:  # a full or read-only disk is no reason to have no pages
            log = open(os.devnull, "ab")  # noqa: SIM115, PTH123 - closed below
        with log:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "showcaller.crew", str(self._runs), str(show), str(self._port)],
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=log, text=True, bufsize=1,
            )  # fmt: skip
        threading.Thread(target=self._hear, args=[self._process], name="crew pages", daemon=True).start()

    def _hear(self, process: "subprocess.Popen[str]") -> None:
        assert process.stdout is not None
        for line in process.stdout:
            with contextlib.suppress(ValueError):
                self._heard.put(json.loads(line))
        process.stdout.close()

    def poll(self) -> bool:
        """Take in what it has said, start it again if it ended. True when something is new."""
        new = False
        with contextlib.suppress(Empty):
            while True:
                self._take(self._heard.get_nowait())
                new = True
        if self._process is not None and self._process.poll() is not None and not self._closed:
            assert self._process.stdin is not None
            with contextlib.suppress(OSError):
                self._process.stdin.close()
            self._process, self._ended_s = None, time.monotonic()
            self.trouble = self.trouble or "The crew pages stopped. They are being started again."
            self.status = {}
            return True
        if self._process is None and not self._closed and time.monotonic() - self._ended_s > AGAIN_AFTER_S:
            self._start()
        return new

    def _take(self, told: dict[str, Any]) -> None:
        if "address" in told:
            self.status, self.trouble = told, str(told["trouble"])
        elif "failed" in told:
            self.trouble = f"No crew pages: {told['failed']}"
        elif "link" in told:
            self.links[str(told["position"])] = str(told["link"])

    def ask_link(self, position: str) -> None:
        """Ask for the link of a position (its key, empty: any); it comes into ``links``."""
        self._do(do="link", position=position)

    def withdraw(self, link: str) -> None:
        """A link (its id) lets nobody in any more, and whoever came by it is out."""
        self.links.clear()
        self._do(do="withdraw", link=link)

    def put_out(self, session: str) -> None:
        """One person (the id of the session) is out."""
        self._do(do="put out", session=session)

    def withdraw_all(self) -> None:
        """A new PIN; everybody is out."""
        self.links.clear()
        self._do(do="withdraw all")

    def _do(self, **asked: str) -> None:
        process = self._process
        if process is not None and process.stdin is not None:
            with contextlib.suppress(OSError):  # it has just ended, which ``poll`` says
                process.stdin.write(json.dumps(asked) + "\n")
                process.stdin.flush()

    def close(self) -> None:
        """End it."""
        self._closed = True
        process, self._process = self._process, None
        if process is None:
            return
        assert process.stdin is not None
        with contextlib.suppress(OSError):
            process.stdin.close()
        try:
            process.wait(_ENDS_WITHIN_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
