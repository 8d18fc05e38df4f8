"""What desks on this machine speak to while the run is on elsewhere: to them it is the engine.

The same sockets, seals and words (:mod:`showcaller.engine.protocol`); questions are answered from the copy of
the log, everything else is handed on.
"""

import contextlib
import json
import os
import secrets
from collections.abc import Callable
from typing import Any

import zmq

from showcaller.engine.protocol import (
    BEAT,
    PUBLISHED_BYTES,
    RECORD,
    UNREAD_RECORDS,
    endpoint_files,
    local_endpoint,
    sealed,
    unsealed,
    write_endpoint,
)
from showcaller.joining.chunks import log_chunk
from showcaller.joining.copy import Copy
from showcaller.joining.machine import Machine
from showcaller.model.document import text_digest

_AT_ONCE = 64

HandOn = Callable[[dict[str, Any], Callable[[dict[str, Any]], None]], None]
"""Takes a desk's request, and what is to get its answer."""


class NearSide:
    """``about`` gives what ``hello`` and ``here`` say beside the usual: the clock, and how it stands."""

    def __init__(
        self,
        context: "zmq.Context[Any]",
        machine: Machine,
        copy: Copy,
        hand_on: HandOn,
        about: Callable[[], dict[str, Any]],
    ) -> None:
        """Listen; raises OSError when it can be said nowhere."""
        self._copy, self._hand_on, self._about = copy, hand_on, about
        self._digest = text_digest(copy.show_text)
        self._secret = secrets.token_bytes(16)
        self._commands = context.socket(zmq.ROUTER)
        self._events = context.socket(zmq.PUB)
        self._events.setsockopt(zmq.SNDHWM, UNREAD_RECORDS)
        name = f"j{machine.id}{copy.run_id}"
        self._commands.bind(local_endpoint(name, "do"))
        self._events.bind(local_endpoint(name, "ev"))
        endpoint = {
            "run": copy.run_id,
            "pid": os.getpid(),
            "commands": self._commands.getsockopt_string(zmq.LAST_ENDPOINT),
            "events": self._events.getsockopt_string(zmq.LAST_ENDPOINT),
            "short": None,
            "secret": self._secret.hex(),
            "as": machine.id,
        }
        write_endpoint(copy.folder, endpoint)

    def sockets(self) -> tuple[Any, ...]:
        """To be polled."""
        return (self._commands,)

    def publish(self, body: bytes) -> None:
        """A record, to every desk here."""
        if len(body) <= PUBLISHED_BYTES:
            self._events.send_multipart((RECORD, body), zmq.NOBLOCK)

    def beat(self, unkept: str) -> None:
        """A sign of life. Not while the engine is silent: then nobody here is to believe that it lives."""
        trouble = unkept.encode()
        self._events.send_multipart((BEAT, b"%d %s" % (len(self._copy), trouble)), zmq.NOBLOCK)

    def poll(self) -> None:
        """Answer what has come."""
        for _ in range(_AT_ONCE):
            try:
                sender, data = self._commands.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                return
            except ValueError:
                continue
            body = unsealed(self._secret, data)
            if body is not None:
                with contextlib.suppress(ValueError, KeyError, TypeError, RecursionError):
                    self._request(sender, json.loads(body))

    def _request(self, sender: bytes, asked: dict[str, Any]) -> None:
        number, do = asked["id"], asked["do"]

        def answer(told: dict[str, Any]) -> None:
            self._answer(sender, {"ok": True, "say": None, **told, "id": number})

        match do["kind"]:
            case "hello":
                answer({**self._hello(), **self._about()})
            case "show":
                answer({"show": self._copy.show_text})
            case "log":
                answer(log_chunk(self._copy.log, int(do.get("from", 1))))
            case "here":
                self._hand_on(asked, lambda told: answer({"calls_gone": False, **told, **self._about()}))
            case _:
                self._hand_on(asked, answer)

    def _hello(self) -> dict[str, Any]:
        own = {"run": self._copy.run_id, "digest": self._digest, "seq": len(self._copy), "pid": os.getpid()}
        return {**own, "urgent": "", "disk": self._copy.trouble}

    def _answer(self, sender: bytes, told: dict[str, Any]) -> None:
        with contextlib.suppress(zmq.ZMQError):  # the desk may be gone
            data = sealed(self._secret, json.dumps(told).encode())
            self._commands.send_multipart((sender, data), zmq.NOBLOCK)

    def close(self) -> None:
        """Nobody here speaks to it any more."""
        self._commands.close(linger=100)
        self._events.close(linger=100)
        for path in endpoint_files(self._copy.folder):
            with contextlib.suppress(OSError, ValueError):
                if json.loads(path.read_text(encoding="utf-8")).get("pid") == os.getpid():
                    path.unlink(missing_ok=True)
