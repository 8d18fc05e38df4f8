"""The short way to the engine for a desk on the same machine: one packet there, one back, no thread between.

A Unix socket that keeps packets apart (``SOCK_SEQPACKET``). Where the system has none, requests go by ZeroMQ.
"""

import contextlib
import os
import socket
import struct
import sys
from collections.abc import Iterator
from pathlib import Path

MOST_CONNECTIONS = 64
LONGEST_BYTES = 1 << 16
"""A longer request is cut, and so refused: its seal does not fit."""
AVAILABLE = sys.platform.startswith("linux")


class ShortWay:
    """The engine's end: takes connections of this user and gives what they send."""

    def __init__(self, path: Path) -> None:
        """Listen at ``path``, in place of a socket that nobody listens at any more.

        Raises:
            OSError: it cannot.
        """
        self.path = path
        path.unlink(missing_ok=True)
        self._listening = socket.socket(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._listening.setblocking(False)
        self._listening.bind(str(path))
        path.chmod(0o600)
        self._listening.listen(16)
        self._open: dict[int, socket.socket] = {}

    def fileno(self) -> int:
        """Where new connections show."""
        return self._listening.fileno()

    def accept(self) -> int | None:
        """Take a connection that waits; its number to be polled, None if there is none to be had."""
        try:
            connection, _ = self._listening.accept()
        except OSError:
            return None
        if len(self._open) >= MOST_CONNECTIONS or not _is_this_user(connection):
            connection.close()
            return None
        connection.setblocking(False)
        self._open[connection.fileno()] = connection
        return connection.fileno()

    def waiting_bytes(self, number: int) -> int:
        """How long the next packet of a connection is; 0 if none waits."""
        connection = self._open.get(number)
        if connection is None:
            return 0
        try:
            return connection.recv_into(bytearray(1), 1, socket.MSG_PEEK | socket.MSG_TRUNC)
        except OSError:
            return 0

    def receive(self, number: int) -> bytes | None:
        """The next packet of a connection, empty if none waits; None when it is over and was closed."""
        connection = self._open.get(number)
        if connection is None:
            return None
        try:
            data = connection.recv(LONGEST_BYTES)
        except BlockingIOError:
            return b""
        except OSError:
            data = b""
        if not data:
            del self._open[number]
            connection.close()
            return None
        return data

    def answer(self, number: int, data: bytes) -> None:
        """Send; a desk that does not read its answers loses them."""
        connection = self._open.get(number)
        if connection is not None:
            with contextlib.suppress(OSError):
                connection.send(data)

    def close(self) -> None:
        """Let go of all."""
        for sock in (self._listening, *self._open.values()):
            sock.close()
        self._open.clear()
        self.path.unlink(missing_ok=True)


def _is_this_user(connection: socket.socket) -> bool:
    size = struct.calcsize("3i")
    _, user, _ = struct.unpack("3i", connection.getsockopt(socket.SOL_SOCKET, socket.SO_PEERCRED, size))
    return bool(user == os.getuid())


class ShortLink:
    """A desk's end. Never waits."""

    def __init__(self, path: str) -> None:
        """Raises OSError when nobody listens there, or somebody else."""
        self._socket = socket.socket(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._socket.setblocking(False)  # an engine that was stopped takes no more connections at some point
        try:
            self._socket.connect(path)
            if not _is_this_user(self._socket):
                raise PermissionError("another user listens there")
        except OSError:
            self._socket.close()
            raise

    def fileno(self) -> int:
        """Where answers show."""
        return self._socket.fileno()

    def send(self, data: bytes) -> None:
        """Raises OSError when the other end takes no more, or is gone."""
        self._socket.send(data)

    def received(self) -> Iterator[bytes]:
        """All that has come."""
        while True:
            try:
                data = self._socket.recv(1 << 20)
            except OSError:
                return
            if not data:
                return
            yield data

    def close(self) -> None:
        """Let go."""
        self._socket.close()


def listens(path: str) -> bool:
    """Whether a process of this user listens at ``path``, alive or stopped."""
    try:
        ShortLink(path).close()
    except BlockingIOError:
        return True  # so many wait already that it must be stopped, but it is there
    except OSError:
        return False
    return True
