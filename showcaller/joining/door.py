"""The door: other machines come in by it to the run that is on here. One thread, a process of its own.

The engine knows nothing of keys and networks, and its way from a go to a message is what it was: the door
speaks to it as a desk does, and says with every request whose it is and from which seat, which the engine
judges. It keeps the log for all who follow, so that a machine that catches up asks nothing of the engine.
"""

import contextlib
import json
import time
from pathlib import Path
from typing import Any

import zmq
import zmq.utils.z85

from showcaller.engine.protocol import LOG_CHUNK, LOG_CHUNK_BYTES
from showcaller.joining.bell import Bell
from showcaller.joining.engine_side import EngineSide
from showcaller.joining.guests import Guest, keep_guests, read_guests
from showcaller.joining.lines import GuestLines, Line
from showcaller.joining.machine import Machine
from showcaller.joining.wire import (
    ANSWER,
    BEAT,
    BEAT_S,
    DOMAIN,
    RECORD,
    REQUEST,
    SILENT_S,
    ZAP,
    bell_socket,
    door_socket,
)
from showcaller.run.commands import COMMANDS

_IDLE_MS = 50
_AT_ONCE = 64
_ANSWER_WITHIN_S = 5.0
NO_RUN = "no show is open at the caller's machine; ask there"
AWAY = "the engine does not answer; call by voice, and try again"


class MachineDoor:
    """Lets in whom ``guests`` has. Everything on one thread, by :meth:`look`."""

    def __init__(self, runs: Path, machine: Machine, bind: str, port: int) -> None:
        """Open it.

        Raises:
            JoinError: there is no port for it.
        """
        self._runs, self._machine, self._bind = runs, machine, bind
        self.context: zmq.Context[Any] = zmq.Context(io_threads=1)
        self._zap = self.context.socket(zmq.REP)
        self._zap.bind(ZAP)
        self._sock, self.port = door_socket(self.context, machine, bind, port)
        self._bell_sock: Any = None
        self.bell = Bell(machine.key, machine.name)
        self.guests = read_guests(runs)
        self.lines = GuestLines()
        self.engine = EngineSide(runs)
        self._waiting: dict[tuple[int, int], tuple[bytes, str, float]] = {}
        self._numbers: dict[tuple[int, int], Any] = {}
        self._beat_s = 0.0
        self.refused = 0
        """Handshakes of keys that are not let in."""
        self.trouble = ""

    def show_code(self, seat: str) -> None:
        """Show a code that lets one machine in to a seat.

        Raises:
            JoinError: the port for it is taken.
        """
        if self._bell_sock is None:
            self._bell_sock = bell_socket(self.context, self._bind, self.port + 1)
        self.bell.show(seat, time.monotonic())

    def hide_code(self) -> None:
        """Nobody is let in from here on."""
        self.bell.hide()
        if self._bell_sock is not None:
            self._bell_sock.close()
            self._bell_sock = None

    def withdraw(self, ident: str) -> bool:
        """A machine is out, at once; whether it was in."""
        guest = self.guests.withdraw(ident)
        if guest is None:
            return False
        for line in self.lines.of(guest.key):
            self._tell(line, BEAT, json.dumps({"out": True}).encode())
        self.lines.drop(guest.key)
        self._waiting = {n: w for n, w in self._waiting.items() if w[1] != guest.key}
        self._keep()
        return True

    def _keep(self) -> None:
        try:
            keep_guests(self._runs, self.guests)
            self.trouble = ""
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            self.trouble = f"who is let in cannot be kept ({reason}): free disk space"

    def look(self, more: tuple[Any, ...] = ()) -> list[Any]:
        """Wait a moment for something to come, and do all of it; what of ``more`` has something."""
        poller = zmq.Poller()
        bell = () if self._bell_sock is None else (self._bell_sock,)
        for sock in (self._zap, self._sock, *bell, *self.engine.sockets(), *more):
            poller.register(sock, zmq.POLLIN)
        found = [sock for sock, _ in poller.poll(_IDLE_MS)]
        self._answer_zap()
        now_s = time.monotonic()
        news = self.engine.poll()
        for body in news:
            for line, _ in self.lines.following():
                self._tell(line, RECORD, body)
        self._hand_back(now_s)
        self._hear(now_s)
        if self._bell_sock is not None:
            self._ring(now_s)
        if now_s - self._beat_s >= BEAT_S:
            self._beat_s = now_s
            self._beat(now_s)
        return found

    def _answer_zap(self) -> None:
        """Who may finish a handshake (ZeroMQ RFC 27)."""
        while True:
            try:
                frames = self._zap.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                return
            version, number, domain, _address, _identity, mechanism, *key = frames
            text = zmq.utils.z85.encode(key[0]).decode() if key and len(key[0]) == 32 else ""
            right = domain == DOMAIN and mechanism == b"CURVE" and text in self.guests.by_key
            self.refused += not right
            code, why = (b"200", b"OK") if right else (b"400", b"not let in")
            self._zap.send_multipart([version, number, code, why, text.encode() if right else b"", b""])

    def _hear(self, now_s: float) -> None:
        for _ in range(_AT_ONCE):
            try:
                frames = self._sock.recv_multipart(zmq.NOBLOCK, copy=False)
            except zmq.Again:
                return
            with contextlib.suppress(zmq.ZMQError, ValueError, KeyError, TypeError, RecursionError):
                key = str(frames[-1].get("User-Id"))
                guest = self.guests.by_key.get(key)  # it may be withdrawn while it is connected
                if guest is not None and len(frames) == 3 and frames[1].bytes == REQUEST:
                    line = self.lines.heard(frames[0].bytes, key, now_s)
                    if line is not None:
                        self._request(frames[0].bytes, line, guest, json.loads(frames[2].bytes))

    def _request(self, at: bytes, line: Line, guest: Guest, asked: dict[str, Any]) -> None:
        number, do = asked["id"], asked["do"]
        kind = do["kind"]
        if kind == "time":
            line.has = int(do.get("has", line.has))
            self._answer(at, number, {"t": time.monotonic_ns(), "follows": line.follows})
        elif kind in _OWN:
            self._answer(at, number, _OWN[kind](self, line, guest, do))
        elif kind != "here" and kind not in COMMANDS:
            self._answer(at, number, {"ok": False, "say": f"no command '{str(kind)[:20]}'"})
        elif not line.may_ask(time.monotonic()):
            self._answer(at, number, {"ok": False, "say": "too many at once; once more, slower"})
        else:
            self._hand_on(at, guest, asked)

    def _hand_on(self, at: bytes, guest: Guest, asked: dict[str, Any]) -> None:
        """To the engine, in this machine's name: a desk of its own, whatever it says it is."""
        desk = str(asked.get("desk", ""))[:40]
        if not desk.startswith(guest.id):
            desk = guest.id + (f".{desk}" if desk else "")
        do = dict(asked["do"])
        if do["kind"] == "here":
            do["name"] = f"{guest.name}, {str(do.get('name', ''))[:40]}"
        sent_ns = min(int(asked.get("at") or 0) or time.monotonic_ns(), time.monotonic_ns())
        number = self.engine.forward(do, desk=desk, seat=guest.seat, at=sent_ns)
        if number is None:
            self._answer(at, asked["id"], {"ok": False, "say": AWAY if self.engine.hello else NO_RUN})
        else:
            self._waiting[number] = (at, guest.key, time.monotonic() + _ANSWER_WITHIN_S)
            self._numbers[number] = asked["id"]

    def _hand_back(self, now_s: float) -> None:
        for number, answer in self.engine.answers().items():
            waits = self._waiting.pop(number, None)
            asked = self._numbers.pop(number, None)
            if waits is not None:
                self._answer(waits[0], asked, answer)
        for number, (at, _, until_s) in list(self._waiting.items()):
            if now_s > until_s:
                del self._waiting[number]
                self._answer(at, self._numbers.pop(number, None), {"ok": False, "say": AWAY})

    def _answer(self, at: bytes, number: Any, answer: dict[str, Any]) -> None:
        self._tell(at, ANSWER, json.dumps({"ok": True, "say": None, **answer, "id": number}).encode())

    def _tell(self, at: bytes, topic: bytes, body: bytes) -> None:
        with contextlib.suppress(zmq.ZMQError):  # gone, or it does not read: it will ask for what it missed
            self._sock.send_multipart([at, topic, body], zmq.NOBLOCK)

    def _beat(self, now_s: float) -> None:
        self.lines.tidy(now_s)
        code = self.bell.code
        if code is not None and not code.is_good(now_s):
            self.hide_code()
        body = json.dumps(self._standing()).encode()
        for line, _ in self.lines.following():
            self._tell(line, BEAT, body)

    def _standing(self) -> dict[str, Any]:
        hello = self.engine.hello or {}
        return {
            "run": hello.get("run", ""),
            "term": hello.get("term", 0),
            "seq": len(self.engine.log),
            "engine": self.engine.is_here and self.engine.quiet_s < SILENT_S,
            "unkept": self.engine.unkept,
        }

    def _hello(self, line: Line, guest: Guest, _: dict[str, Any]) -> dict[str, Any]:
        """Who this is, what is on, and the seat of who asks."""
        line.follows = True
        own = {"machine": self._machine.id, "name": self._machine.name, "seat": guest.seat}
        return {**(self.engine.hello or {}), **self._standing(), **own}

    def _show(self, *_: Any) -> dict[str, Any]:
        return {"show": self.engine.show}

    def _log(self, _line: Line, _guest: Guest, do: dict[str, Any]) -> dict[str, Any]:
        start, size = max(1, int(do.get("from", 1))), 0
        found: list[str] = []
        while len(found) < LOG_CHUNK and size < LOG_CHUNK_BYTES:
            part = self.engine.log.slice(start - 1 + len(found), 32)
            if not part:
                break
            found += [body.decode() for body in part]
            size += sum(map(len, part))
        return {"records": found, "from": start, "seq": len(self.engine.log)}

    def _ring(self, now_s: float) -> None:
        for _ in range(_AT_ONCE):
            try:
                line, *frames = self._bell_sock.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                return
            try:
                asked = json.loads(frames[-1])
                if not isinstance(asked, dict):
                    continue
            except (ValueError, IndexError, RecursionError):
                continue
            answer, let_in = self.bell.answer(line, asked, now_s)
            if let_in is not None:
                try:
                    self.guests.admit(let_in.key, let_in.name, let_in.seat, time.time(), let_in.door)
                    self._keep()
                except ValueError as error:
                    answer = {"ok": False, "say": str(error)}
            with contextlib.suppress(zmq.ZMQError):
                self._bell_sock.send_multipart([line, json.dumps(answer).encode()], zmq.NOBLOCK)

    def close(self) -> None:
        """Nobody comes in any more; the engine goes on."""
        self.hide_code()
        self.engine.leave()
        self.context.destroy(linger=100)


_OWN = {"hello": MachineDoor._hello, "show": MachineDoor._show, "log": MachineDoor._log}
