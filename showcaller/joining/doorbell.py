"""The door's bell: open while a code is shown, on a port of its own, to machines that are not known yet."""

import contextlib
import json
import time
from typing import Any

import zmq

from showcaller.joining.bell import Bell, LetIn
from showcaller.joining.code import Code
from showcaller.joining.machine import Machine
from showcaller.joining.wire import bell_socket

_AT_ONCE = 64


class DoorBell:
    """``look`` gives who has proved that they have the code."""

    def __init__(self, context: "zmq.Context[Any]", machine: Machine, bind: str, port: int) -> None:
        self._context, self._bind, self._port = context, bind, port
        self._bell = Bell(machine.key, machine.name)
        self._sock: Any = None

    @property
    def code(self) -> Code | None:
        """The one that is shown; None while none is."""
        return self._bell.code

    def sockets(self) -> tuple[Any, ...]:
        """To be polled."""
        return () if self._sock is None else (self._sock,)

    def show(self, seat: str) -> Code:
        """Show a code that lets one machine in to a seat.

        Raises:
            JoinError: the port for it is taken.
        """
        if self._sock is None:
            self._sock = bell_socket(self._context, self._bind, self._port)
        return self._bell.show(seat, time.monotonic())

    def hide(self) -> None:
        """Nobody is let in from here on."""
        self._bell.hide()
        if self._sock is not None:
            self._sock.close(linger=300)
            self._sock = None

    def look(self, now_s: float) -> list[LetIn]:
        """Answer those who ring; a code that is no good any more is not shown any more."""
        found: list[LetIn] = []
        for _ in range(_AT_ONCE if self._sock is not None else 0):
            try:
                line, *frames = self._sock.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                break
            with contextlib.suppress(ValueError, IndexError, RecursionError, zmq.ZMQError):
                asked = json.loads(frames[-1])
                if isinstance(asked, dict):
                    answer, let_in = self._bell.answer(line, asked, now_s)
                    found += [] if let_in is None else [let_in]
                    self._sock.send_multipart([line, json.dumps(answer).encode()], zmq.NOBLOCK)
        if self.code is not None and not self.code.is_good(now_s):
            self.hide()
        return found
