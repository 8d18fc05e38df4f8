"""The doors of other machines that can take this run over, or have. Four times a second each is told this
one's term, and tells its own: an engine that was cut off hears of a higher one as soon as it hears at all."""

import contextlib
import json
from collections.abc import Iterable
from typing import Any

import zmq

from showcaller.joining.guests import Guest
from showcaller.joining.machine import Machine
from showcaller.joining.own_address import door_towards
from showcaller.joining.wire import ANSWER, REQUEST, to_door

EVERY_S = 0.25


class OtherDoors:
    """``poll`` gives what they answer."""

    def __init__(self, context: "zmq.Context[Any]", machine: Machine, own_port: int) -> None:
        self._context, self._machine, self._own_port = context, machine, own_port
        self._socks: dict[tuple[str, str], Any] = {}
        self._asked_s = -1e9

    def sockets(self) -> tuple[Any, ...]:
        """To be polled."""
        return tuple(self._socks.values())

    def poll(
        self, guests: Iterable[Guest], own: dict[str, Any], now_s: float
    ) -> list[tuple[str, dict[str, Any]]]:
        """(the machine's key, its answer) of all that have answered; tell them ``own`` now and then."""
        wanted = {(g.key, g.door) for g in guests if g.seat == "engine" and g.door}
        for gone in self._socks.keys() - wanted:
            self._socks.pop(gone).close()
        for key, door in wanted - self._socks.keys():
            with contextlib.suppress(zmq.ZMQError):  # an address that is none
                self._socks[key, door] = to_door(self._context, self._machine, door, key, brisk=True)
        if now_s - self._asked_s >= EVERY_S:
            self._asked_s = now_s
            for (_, door), sock in self._socks.items():
                told = {"kind": "term", "door": door_towards(door, self._own_port), **own}
                body = json.dumps({"id": 0, "do": told}).encode()
                with contextlib.suppress(zmq.Again):
                    sock.send_multipart([REQUEST, body], zmq.NOBLOCK)
        found = []
        for (key, _), sock in self._socks.items():
            with contextlib.suppress(zmq.Again, ValueError, KeyError, TypeError):
                while True:
                    topic, body = sock.recv_multipart(zmq.NOBLOCK)
                    if topic == ANSWER:
                        found.append((key, dict(json.loads(body))))
        return found

    def renew(self, key: str) -> None:
        """One is there again: its line is made anew at once, whatever the old one waits for."""
        for whose in [one for one in self._socks if one[0] == key]:
            self._socks.pop(whose).close()

    def ask(self, key: str, do: dict[str, Any]) -> bool:
        """Ask one of them something else, whose answer nobody waits for; whether it could leave."""
        for (whose, _), sock in self._socks.items():
            if whose == key:
                with contextlib.suppress(zmq.Again):
                    sock.send_multipart([REQUEST, json.dumps({"id": 0, "do": do}).encode()], zmq.NOBLOCK)
                    return True
        return False

    def close(self) -> None:
        """Let go."""
        for sock in self._socks.values():
            sock.close()
        self._socks.clear()
