"""The address that others on the network reach this machine by."""

import contextlib
import socket

_ELSEWHERE = "192.0.2.1"
"""An address that is nobody's (RFC 5737): asked which way it would be reached, the system names our own.
Nothing is sent."""


def address_towards(host: str, port: int) -> str:
    """The address that ``host`` reaches this machine by; empty where there is no way. Nothing is sent."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect((host, port))
        return str(probe.getsockname()[0])
    return ""


def door_towards(other: str, own_port: int) -> str:
    """Where the door at ``own_port`` of this machine is, seen from the door ``other`` (both ``host:port``);
    empty while there is none, or no way."""
    host, _, port = other.rpartition(":")
    address = address_towards(host, int(port)) if own_port and port.isdecimal() else ""
    return f"{address}:{own_port}" if address else ""


def own_address() -> str:
    """The address that others on the network reach this machine by; the loopback's without a network."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect((_ELSEWHERE, 9))
        return str(probe.getsockname()[0])
    return "127.0.0.1"
