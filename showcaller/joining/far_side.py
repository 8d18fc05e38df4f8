"""The way from this machine to the door it has come in by: requests, what is told, and the two clocks."""

import contextlib
import json
import time
from collections.abc import Callable, Mapping
from typing import Any

import zmq

from showcaller.joining.asking_in import Known
from showcaller.joining.machine import Machine
from showcaller.joining.offset import Offset, Trips
from showcaller.joining.wire import ANSWER, BEAT, RECORD, REQUEST, SILENT_S, to_door

PING_S = 0.25
FIRST_PINGS = 20
FIRST_PING_S = 0.02
SILENT_PING_S = 0.1
HELLO_S = 0.4
_ELSEWHERE_S = 2.0
_DEAD_S = 3.0
"""An engine is started again within less."""
_OPEN_ANSWERS = 500

Took = Callable[[dict[str, Any]], None]


class FarSide:
    """``hello`` is the door's last word on who it is and what is on; ``standing`` its last heartbeat.

    ``out``: the door has said that this machine is not let in any more. ``doors`` are tried in turn when the
    one that is spoken to is silent; one whose term is lower than ``term`` is not followed.
    """

    def __init__(self, context: "zmq.Context[Any]", machine: Machine, doors: list[Known]) -> None:
        self._context, self._machine = context, machine
        self.doors = doors
        self.at = doors[0]
        self.trips = Trips()
        self.hello: dict[str, Any] | None = None
        self.standing: dict[str, Any] = {}
        self.out = False
        self.term = 0
        self._sends = ""
        """The log whose records come, by the last word of the door."""
        self._heard_s = self._connected_s = self._live_s = time.monotonic()
        self._pinged_s = self._greeted_s = -1e9
        self._pings = 0
        self._is_followed = False
        self._next_id = 1
        self._asked: dict[int, Took] = {}
        self._sock = to_door(context, machine, self.at.door, self.at.key)

    @property
    def whose(self) -> tuple[str, str]:
        """Whose log is told, and which: another one may be another word for word."""
        return self.at.key, str(self.standing.get("log", ""))

    @property
    def silent_s(self) -> float:
        """How long no heartbeat has come."""
        return time.monotonic() - self._heard_s

    @property
    def engine_silent_s(self) -> float:
        """How long no heartbeat has told of an engine, since there was one or this began."""
        return time.monotonic() - self._live_s

    @property
    def is_live(self) -> bool:
        """Whether the door, and the engine behind it, were heard within the last second."""
        return self.is_heard and bool(self.standing.get("engine"))

    @property
    def is_heard(self) -> bool:
        """Whether the door was, whatever is on there."""
        return self.hello is not None and self.silent_s < SILENT_S and not self.out

    def sockets(self) -> tuple[Any, ...]:
        """To be polled."""
        return (self._sock,)

    def offset(self) -> Offset | None:
        """The door's monotonic clock less this machine's."""
        return self.trips.best(time.monotonic_ns())

    def ask(self, do: Mapping[str, Any], took: Took, **about: Any) -> bool:
        """Send a request; ``took`` gets its answer. False when it cannot leave."""
        number = self._next_id
        self._next_id += 1
        body = json.dumps({"id": number, **about, "do": dict(do)}).encode()
        try:
            self._sock.send_multipart([REQUEST, body], zmq.NOBLOCK)
        except zmq.Again:
            return False
        self._asked[number] = took
        while len(self._asked) > _OPEN_ANSWERS:
            self._asked.pop(next(iter(self._asked)))
        return True

    def poll(self, has: int) -> list[bytes]:
        """Take in what has come; records among it. ``has`` is the number of the last one that is here."""
        now_s = time.monotonic()
        records: list[bytes] = []
        while True:
            try:
                frames = self._sock.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                break
            if len(frames) == 2:
                with contextlib.suppress(ValueError, KeyError, TypeError):
                    self._take(frames[0], frames[1], records)
        self._greet(now_s, has)
        silent = now_s - max(self._heard_s, self._connected_s) > _ELSEWHERE_S
        dead = len(self.doors) > 1 and now_s - max(self._live_s, self._connected_s) > _DEAD_S
        if silent or dead:
            self._elsewhere(now_s)
        return records

    def _take(self, topic: bytes, body: bytes, records: list[bytes]) -> None:
        if topic == RECORD:
            if self._sends == self.whose[1]:  # else they are of an engine that is not followed
                records.append(body)
        elif topic == ANSWER:
            answer = json.loads(body)
            took = self._asked.pop(answer["id"], None)
            if took is not None:
                took(answer)
        elif topic == BEAT:
            told = json.loads(body)
            self._sends = str(told.get("log", ""))
            self.out = bool(told.get("out"))
            if not self.out and int(told["term"]) >= self.term:
                self.standing, self._heard_s = told, time.monotonic()
                self._live_s = self._heard_s if told["engine"] else self._live_s
                self._learn(told)

    def _learn(self, told: dict[str, Any]) -> None:
        """Where else the run may be, or is by now."""
        for one in told.get("others", []):
            known = Known(**one)
            if known.key != self._machine.key and all(d.key != known.key for d in self.doors):
                self.doors.append(known)
        moved = None if told.get("moved") is None else Known(**told["moved"])
        if moved is not None and moved.door and moved.key != self._machine.key:
            self.doors = [moved, *(d for d in self.doors if d.key != moved.key)]
            self.go_to(moved)

    def _greet(self, now_s: float, has: int) -> None:
        stale = (
            not self._is_followed or self.hello is None or self.hello.get("run") != self.standing.get("run")
        )
        stale = stale or self.hello is None or self.hello.get("term") != self.standing.get("term")
        if stale and now_s - self._greeted_s > HELLO_S:
            self._greeted_s = now_s
            self.ask({"kind": "hello"}, self._greeted)
        every_s = FIRST_PING_S if self._pings < FIRST_PINGS else PING_S
        every_s = min(every_s, SILENT_PING_S) if self.silent_s > SILENT_S else every_s
        if now_s - self._pinged_s >= every_s:
            self._pinged_s = now_s
            sent_ns = time.monotonic_ns()

            def back(answer: dict[str, Any]) -> None:
                self._pings += 1
                follows = bool(answer.get("follows", True))
                if self._is_followed and not follows:  # the door is a new one
                    self._greeted_s = -1e9
                self._is_followed = follows
                self.trips.note(sent_ns, int(answer["t"]), time.monotonic_ns())

            self.ask({"kind": "time", "has": has}, back)

    def _greeted(self, answer: dict[str, Any]) -> None:
        self._sends = str(answer.get("log", self._sends))
        if not answer["ok"] or int(answer.get("term", 0)) < self.term:
            return
        at = self.at
        self._learn(answer)
        if self.at != at:
            return  # it is on elsewhere by now
        self.hello, self.standing, self._is_followed = answer, answer, True
        self.term = int(answer["term"])
        self._heard_s = time.monotonic()

    def _elsewhere(self, now_s: float) -> None:
        """Another try: the next door there is, or the same again."""
        at = self.doors.index(self.at) if self.at in self.doors else -1
        self.go_to(self.doors[(at + 1) % len(self.doors)])
        self._connected_s = now_s

    def go_to(self, door: Known) -> None:
        """Speak to this door from here on."""
        if door not in self.doors:
            self.doors.append(door)
        if door.door != self.at.door or door.key != self.at.key:
            self.hello = None
            self.trips.forget()
            self._pings = 0
        self.at, self._is_followed, self.standing = door, False, {}
        self._sends = ""
        self._asked.clear()
        self._sock.close()
        self._sock = to_door(self._context, self._machine, door.door, door.key)
        self._connected_s, self._greeted_s = time.monotonic(), -1e9

    def close(self) -> None:
        """Let go."""
        self._sock.close()
