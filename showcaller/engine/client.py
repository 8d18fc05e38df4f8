"""Speaking to an engine from another process. Nothing here waits longer than it is told to."""

import contextlib
import json
import os
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import zmq

from showcaller.engine.clock import RunClock
from showcaller.engine.protocol import BEAT, QUESTIONS, RECORD, NoEngine, read_endpoint, sealed, unsealed
from showcaller.engine.short_way import AVAILABLE, LONGEST_BYTES, ShortLink
from showcaller.run.runlog import Record


@contextlib.contextmanager
def _urgently() -> Iterator[None]:
    """Threads begun within are run before this process's drawing, where the system lets them."""
    if not sys.platform.startswith("linux"):
        yield
        return
    usual = os.getpriority(os.PRIO_PROCESS, 0)  # on Linux of this thread alone
    with contextlib.suppress(OSError):
        os.setpriority(os.PRIO_PROCESS, 0, usual - 10)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, 0, usual)


class EngineClient:
    """A connection to the engine of a run folder. Belongs to one thread.

    ``last_beat`` is the monotonic instant (s) of the last sign of life; ``unkept`` is why the engine cannot
    keep its journal, empty while it can.
    """

    def __init__(self, folder: Path, desk: str = "") -> None:
        """``desk`` is the id of the desk that speaks, empty for none.

        Raises:
            NoEngine: the folder has no open engine.
        """
        endpoint = read_endpoint(folder)
        if endpoint is None:
            raise NoEngine(f"no engine has {folder.name} open; open the show again, then rejoin")
        self.folder = folder
        self._desk = {"desk": desk} if desk else {}
        self.pid: int = endpoint["pid"]
        self.is_joined = "as" in endpoint
        """Whether the engine is on another machine, and this is the way to it."""
        self._secret = bytes.fromhex(endpoint.get("secret", ""))
        self._short = _short_link(endpoint.get("short"))
        context: zmq.Context[zmq.Socket[bytes]] = zmq.Context.instance()
        with _urgently():  # the first socket starts the thread that carries a go out of this process
            self._commands = context.socket(zmq.DEALER)
            self._events = context.socket(zmq.SUB)
        for sock in (self._commands, self._events):
            sock.setsockopt(zmq.LINGER, 0)
        self._events.setsockopt(zmq.RCVHWM, 0)
        self._events.subscribe(b"")
        self._commands.connect(endpoint["commands"])
        self._events.connect(endpoint["events"])
        self._next_id = 1
        self._answers: dict[int, dict[str, Any]] = {}
        self.last_beat = time.monotonic()
        self.engine_seq = 0
        self.unkept = ""

    def post(self, do: Mapping[str, Any], **about: Any) -> int:
        """Send a request without waiting; its answer comes by :meth:`answers` under the number returned.
        ``about`` stands beside ``do``: whom it is asked for.

        Raises:
            NoEngine: so many wait already that no more can be sent.
        """
        number = self._next_id
        self._next_id += 1
        request = {"id": number, "at": time.monotonic_ns(), **self._desk, **about, "do": dict(do)}
        data = sealed(self._secret, json.dumps(request).encode())
        if self._short is not None and do["kind"] not in QUESTIONS and len(data) < LONGEST_BYTES:
            try:
                self._short.send(data)
            except BlockingIOError:
                raise NoEngine(
                    f"the engine of {self.folder.name} takes no more requests; call by voice, reopen the desk"
                ) from None
            except OSError:  # it is gone; the other way waits for it to come back, this one cannot
                self._short.close()
                self._short = None
            else:
                return number
        try:
            self._commands.send(data, zmq.NOBLOCK)
        except zmq.Again:
            raise NoEngine(
                f"the engine of {self.folder.name} takes no more requests; call by voice, reopen the desk"
            ) from None
        return number

    def answers(self) -> Iterator[dict[str, Any]]:
        """Answers that have come, without waiting."""
        for data in self._arrived():
            body = unsealed(self._secret, data)
            if body is not None:  # else somebody answers in the engine's name
                yield json.loads(body)

    def _arrived(self) -> Iterator[bytes]:
        if self._short is not None:
            yield from self._short.received()
        while True:
            try:
                yield self._commands.recv(zmq.NOBLOCK)
            except zmq.Again:
                return

    def ask(self, kind: str, timeout_s: float = 3.0, **fields: Any) -> dict[str, Any]:
        """Send a request and wait for its answer.

        Raises:
            NoEngine: none within ``timeout_s``.
        """
        number = self.post({"kind": kind, **fields})
        until = time.monotonic() + timeout_s
        while True:
            left_ms = int((until - time.monotonic()) * 1000)
            if left_ms <= 0 or not self._poll(left_ms):
                raise NoEngine(
                    f"the engine of {self.folder.name} did not answer within {timeout_s:g} s; try again"
                )
            for answer in self.answers():
                if answer["id"] == number:
                    return answer

    def _poll(self, wait_ms: int) -> bool:
        """Wait for an answer by either way."""
        poller = zmq.Poller()
        poller.register(self._commands, zmq.POLLIN)
        if self._short is not None:
            poller.register(self._short.fileno(), zmq.POLLIN)
        return bool(poller.poll(wait_ms))

    def records(self, timeout_s: float = 0.0) -> Iterator[Record]:
        """Records published since the last call; waits up to ``timeout_s`` for the first."""
        return map(Record.from_bytes, self.bodies(timeout_s))

    def bodies(self, timeout_s: float = 0.0) -> Iterator[bytes]:
        """The same as bytes."""
        if timeout_s > 0 and not self._events.poll(int(timeout_s * 1000)):
            return
        while True:
            try:
                topic, body = self._events.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                return
            self.last_beat = time.monotonic()
            if topic == RECORD:
                yield body
            elif topic == BEAT:
                number, _, why = body.partition(b" ")
                self.engine_seq, self.unkept = int(number), why.decode()

    def log(self, start: int = 1) -> list[Record]:
        """The run's records from number ``start`` on, asked for chunk by chunk."""
        found: list[Record] = []
        while True:
            answer = self.ask("log", **{"from": start + len(found)})
            found += [Record.from_bytes(text) for text in answer["records"]]
            if not answer["records"] or start + len(found) > answer["seq"]:
                return found

    def clock(self) -> RunClock:
        """The run's clock, the same in every process of this machine."""
        hello = self.ask("hello")
        return RunClock(hello["base_ns"], hello["speed"], "", hello["wall0_ns"])

    def sockets(self) -> tuple[Any, ...]:
        """Where something shows when it has come, to be polled."""
        short = () if self._short is None else (self._short.fileno(),)
        return (self._commands, self._events, *short)

    def close(self) -> None:
        """Let go; the engine goes on."""
        if self._short is not None:
            self._short.close()
        self._commands.close()
        self._events.close()

    def __enter__(self) -> "EngineClient":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _short_link(path: str | None) -> ShortLink | None:
    if path is None or not AVAILABLE:
        return None
    try:
        return ShortLink(path)
    except OSError:
        return None
