"""The sockets between machines: ZeroMQ over TCP, each end known by its CURVE key.

Frames: a topic and a body. ``q`` a request and ``a`` its answer, as between a desk and its engine
(:mod:`showcaller.engine.protocol`); ``r`` a record of the run, ``b`` a heartbeat, both JSON. The door lets
nobody finish a handshake whose key it does not have; what is longer than :data:`LONGEST_BYTES` ends the
connection it came by.
"""

from typing import Any

import zmq

from showcaller.joining.errors import JoinError
from showcaller.joining.machine import Machine

REQUEST, ANSWER, RECORD, BEAT = b"q", b"a", b"r", b"b"
PORT = 8610
"""The door's; the port above it is where a code is asked for while one is shown."""
TRIES = 10
LONGEST_BYTES = 1 << 20
SHOW_BYTES = 1 << 27
"""What a door tells may be a whole show."""
DOMAIN = b"showcaller"
ZAP = "inproc://zeromq.zap.01"
BEAT_S = 0.25
SILENT_S = 0.8
"""Without a heartbeat for so long the other machine is silent."""


def prepared(sock: "zmq.Socket[bytes]") -> "zmq.Socket[bytes]":
    """A socket that keeps nobody waiting and notices a cut line."""
    for option, value in (
        (zmq.LINGER, 0), (zmq.MAXMSGSIZE, LONGEST_BYTES), (zmq.SNDHWM, 2000), (zmq.RCVHWM, 2000),
        (zmq.HANDSHAKE_IVL, 3000), (zmq.HEARTBEAT_IVL, 500), (zmq.HEARTBEAT_TIMEOUT, 2000),
        (zmq.HEARTBEAT_TTL, 2000), (zmq.RECONNECT_IVL, 100), (zmq.RECONNECT_IVL_MAX, 400),
        (zmq.CONNECT_TIMEOUT, 1000), (zmq.TCP_MAXRT, 3000), (zmq.IPV6, 0), (zmq.BACKLOG, 64),
    ):  # fmt: skip
        sock.setsockopt(option, value)
    return sock


def door_socket(context: "zmq.Context[Any]", machine: Machine, bind: str, port: int) -> tuple[Any, int]:
    """The door itself, and the port it got: ``port``, or the next pair that is free.

    Raises:
        JoinError: none is.
    """
    sock = prepared(context.socket(zmq.ROUTER))
    sock.curve_server = True
    sock.curve_publickey, sock.curve_secretkey = machine.key.encode(), machine.secret.encode()
    sock.zap_domain = DOMAIN
    for at in range(port, port + 2 * TRIES, 2):
        try:
            sock.bind(f"tcp://{bind}:{at}")
        except zmq.ZMQError as error:
            wrong = str(error).lower()
            continue
        return sock, at
    sock.close()
    raise JoinError(
        f"no port from {port} to {port + 2 * TRIES} is free at {bind} ({wrong}); close what has them"
    )


def bell_socket(context: "zmq.Context[Any]", bind: str, port: int) -> Any:
    """Where a code is compared: without keys, since the two do not know each other yet.

    Raises:
        JoinError: its port is taken.
    """
    sock = prepared(context.socket(zmq.ROUTER))
    sock.setsockopt(zmq.MAXMSGSIZE, 4096)
    try:
        sock.bind(f"tcp://{bind}:{port}")
    except zmq.ZMQError as error:
        sock.close()
        raise JoinError(f"port {port} is taken ({str(error).lower()}); close what has it") from None
    return sock


_BRISK = (
    (zmq.IMMEDIATE, 1), (zmq.HANDSHAKE_IVL, 1000), (zmq.HEARTBEAT_IVL, 100), (zmq.HEARTBEAT_TIMEOUT, 500),
    (zmq.HEARTBEAT_TTL, 500), (zmq.RECONNECT_IVL, 50), (zmq.RECONNECT_IVL_MAX, 100),
    (zmq.CONNECT_TIMEOUT, 300),
)  # fmt: skip
_PATIENT = (
    (zmq.HEARTBEAT_IVL, 250), (zmq.HEARTBEAT_TIMEOUT, 1000), (zmq.RECONNECT_IVL, 50),
    (zmq.RECONNECT_IVL_MAX, 200), (zmq.CONNECT_TIMEOUT, 500),
)  # fmt: skip


def to_door(context: "zmq.Context[Any]", machine: Machine, door: str, key: str, brisk: bool = False) -> Any:
    """This machine's end of the way to a door (``host:port``) whose public key is ``key``. ``brisk``: what
    cannot leave now is not kept for later, and a line that was cut is given up and tried again at once."""
    sock = prepared(context.socket(zmq.DEALER))
    for option, value in _BRISK if brisk else _PATIENT:
        sock.setsockopt(option, value)
    sock.setsockopt(zmq.MAXMSGSIZE, SHOW_BYTES)
    sock.curve_serverkey = key.encode()
    sock.curve_publickey, sock.curve_secretkey = machine.key.encode(), machine.secret.encode()
    sock.connect(f"tcp://{door}")
    return sock


def address_of(typed: str) -> tuple[str, int]:
    """Host and port of an address as a person types it, ``10.0.0.5`` or ``foh.local:8612``.

    Raises:
        JoinError: it is none.
    """
    host, _, port = typed.strip().partition(":")
    if not host or " " in host or (port and not (port.isdecimal() and 0 < int(port) < 65535)):
        raise JoinError(f"'{typed[:40]}' is no address; type the caller's machine, such as 10.0.0.5")
    return host, int(port or PORT)
