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

from showcaller.joining.asking_in import Known
from showcaller.joining.book_room import BookRoom
from showcaller.joining.chunks import log_chunk
from showcaller.joining.doorbell import DoorBell
from showcaller.joining.engine_side import EngineSide
from showcaller.joining.guests import Guest, Guests, keep_guests, read_guests
from showcaller.joining.keyring import Keyring
from showcaller.joining.lines import GuestLines, Line
from showcaller.joining.machine import Machine
from showcaller.joining.run_terms import RunTerms
from showcaller.joining.wire import ANSWER, BEAT, BEAT_S, RECORD, REQUEST, door_socket
from showcaller.run.commands import COMMANDS
from showcaller.values import asdict

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
        self._runs, self._machine = runs, machine
        self.context: zmq.Context[Any] = zmq.Context(io_threads=1)
        self.keys = Keyring(self.context, lambda key: key in self.guests.by_key)
        self._sock, self.port = door_socket(self.context, machine, bind, port)
        self.bell = DoorBell(self.context, machine, bind, self.port + 1)
        self.guests = read_guests(runs)
        self.lines = GuestLines()
        self.engine = EngineSide(runs)
        self._waiting: dict[tuple[int, int], tuple[bytes, str, float]] = {}
        self._numbers: dict[tuple[int, int], Any] = {}
        self._beat_s = 0.0
        self._counted = False
        self._whose = ""
        self.book = BookRoom()
        self.terms = RunTerms(self.context, runs, machine, self.engine, (bind, self.port))
        self._unplugged_s = 0.0
        self.trouble = ""

    def withdraw(self, ident: str) -> bool:
        """A machine is out, at once; whether it was in."""
        guest = self.guests.withdraw(ident, time.time())
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
        if time.monotonic() < self._unplugged_s:
            return self._sit_out(more)
        poller = zmq.Poller()
        for sock in (
            self.keys.sock,
            self._sock,
            *self.bell.sockets(),
            *self.engine.sockets(),
            *self.terms.sockets(),
            *more,
        ):
            poller.register(sock, zmq.POLLIN)
        found = [sock for sock, _ in poller.poll(min(_IDLE_MS, self.terms.due_ms(time.monotonic())))]
        self.keys.answer()
        now_s = time.monotonic()
        news = self.engine.poll()
        if self._whose != self.engine.log_id:  # said before its records come
            self._beat(now_s)
        for body in news:
            for line, _ in self.lines.following():
                self._tell(line, RECORD, body)
        self._hand_back(now_s)
        self._hear(now_s)
        self.terms.look(self.guests, now_s)
        for who in self.bell.look(now_s):
            try:
                self.guests.admit(who.key, who.name, who.seat, time.time(), who.door)
                self._keep()
            except ValueError as error:
                self.trouble = str(error)
        if now_s - self._beat_s >= BEAT_S or self.terms.counts != self._counted:
            self._beat(now_s)
        return found

    def _sit_out(self, more: tuple[Any, ...]) -> list[Any]:
        """What comes meanwhile is lost, as it would be."""
        poller = zmq.Poller()
        for sock in more:
            poller.register(sock, zmq.POLLIN)
        found = [sock for sock, _ in poller.poll(_IDLE_MS)]
        with contextlib.suppress(zmq.Again):
            while True:
                self._sock.recv_multipart(zmq.NOBLOCK)
        self.terms.drain()
        self.engine.leave()
        return found

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
        elif kind in _LATER:
            _LATER[kind](self, at, guest, asked)
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
        self._forward(at, guest, asked["id"], do, desk=desk, seat=guest.seat, at=sent_ns)

    def _forward(self, line: bytes, guest: Guest, asked: Any, do: dict[str, Any], **about: Any) -> None:
        number = self.engine.forward(do, **about)
        if number is None:
            self._answer(line, asked, {"ok": False, "say": AWAY if self.engine.hello else NO_RUN})
        else:
            self._waiting[number] = (line, guest.key, time.monotonic() + _ANSWER_WITHIN_S)
            self._numbers[number] = asked

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

    def _term(self, _line: Line, guest: Guest, do: dict[str, Any]) -> dict[str, Any]:
        """Another door tells its engine's term."""
        self._place(guest, do)
        self.terms.hear(self.guests.by_key[guest.key], do)
        return self._standing()

    def _stand_down(self, at: bytes, guest: Guest, asked: dict[str, Any]) -> None:
        self._place(guest, asked["do"])
        guest = self.guests.by_key[guest.key]
        self.terms.stand_down(guest, asked["do"], lambda told: self._answer(at, asked["id"], told))

    def _place(self, guest: Guest, do: dict[str, Any]) -> None:
        door = str(do.get("door", ""))[:60]
        if door and guest.seat == "engine" and self.guests.at_door(guest.key, door):
            self._keep()

    def _apart(self, at: bytes, guest: Guest, asked: dict[str, Any]) -> None:
        """What a machine's engine did while it was not heard: into the log here."""
        do = asked["do"]
        if guest.seat != "engine":
            self._answer(at, asked["id"], {"ok": False, "say": "that machine's seat has no engine"})
            return
        told = {"kind": "heard_apart", "term": int(do["term"]), "machine": guest.name}
        self._forward(at, guest, asked["id"], {**told, "records": list(do["records"])})

    def _guest_list(self, _line: Line, guest: Guest, do: dict[str, Any]) -> dict[str, Any]:
        """Who is let in, for a machine that may have to let them in instead."""
        if guest.seat != "engine":
            return {}
        self._place(guest, do)
        if self.guests.merge(Guests.from_data(do), self._machine.key):
            self._keep()
        return self.guests.as_data()

    def unplug(self, for_s: float) -> None:
        """Hear and say nothing for so long."""
        self._unplugged_s = time.monotonic() + for_s

    def read_guests(self) -> None:
        """The list was written anew by the link of this machine."""
        self.guests = read_guests(self._runs)

    def _answer(self, at: bytes, number: Any, answer: dict[str, Any]) -> None:
        self._tell(at, ANSWER, json.dumps({"ok": True, "say": None, **answer, "id": number}).encode())

    def _tell(self, at: bytes, topic: bytes, body: bytes) -> None:
        with contextlib.suppress(zmq.ZMQError):  # gone, or it does not read: it will ask for what it missed
            self._sock.send_multipart([at, topic, body], zmq.NOBLOCK)

    def _beat(self, now_s: float) -> None:
        self._beat_s = now_s
        self.lines.tidy(now_s)
        self._counted, self._whose = self.terms.counts, self.engine.log_id
        body = json.dumps(self._standing()).encode()
        for line, _ in self.lines.following():
            self._tell(line, BEAT, body)

    def _standing(self) -> dict[str, Any]:
        hello = self.engine.hello or {}
        moved = self.terms.moved
        others = [Known(g.door, g.key, g.name) for g in self.guests.by_key.values() if g.door]
        return {
            "run": hello.get("run", ""),
            "term": self.terms.own if moved is None else self.terms.moved_term,
            "seq": len(self.engine.log),
            "log": self.engine.log_id,
            "engine": self.terms.counts,
            "unkept": self.engine.unkept,
            "moved": None if moved is None or not moved.door else asdict(moved),
            "others": [asdict(one) for one in others],
        }

    def _hello(self, line: Line, guest: Guest, _: dict[str, Any]) -> dict[str, Any]:
        """Who this is, what is on, and the seat of who asks."""
        line.follows = True
        own = {"machine": self._machine.id, "name": self._machine.name, "seat": guest.seat}
        return {**(self.engine.hello or {}), **self._standing(), **own}

    def _show(self, *_: Any) -> dict[str, Any]:
        return {"show": self.engine.show}

    def _log(self, _line: Line, _guest: Guest, do: dict[str, Any]) -> dict[str, Any]:
        if not self.engine.is_whole:
            return {"ok": False, "say": "the log is just being read; once more"}  # not a part for the whole
        return {"log": self.engine.log_id, **log_chunk(self.engine.log, int(do.get("from", 1)))}

    def close(self) -> None:
        """Nobody comes in any more; the engine goes on."""
        self.bell.hide()
        self.engine.leave()
        self.terms.close()
        self.context.destroy(linger=100)


_OWN = {
    "hello": MachineDoor._hello, "show": MachineDoor._show, "log": MachineDoor._log,
    "term": MachineDoor._term, "guests": MachineDoor._guest_list,
    "book": lambda door, _line, guest, do: door.book.guest(guest, do, time.monotonic()),
}  # fmt: skip
"""Answered by the door itself, at once;"""
_LATER = {"stand_down": MachineDoor._stand_down, "apart": MachineDoor._apart}
"""and later."""
