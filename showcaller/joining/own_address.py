"""The address that others on the network reach this machine by."""

import contextlib
import socket

_ELSEWHERE = "192.0.2.1"
"""An address that is nobody's (RFC 5737): asked which way it would be reached, the system names our own.
Nothing is sent."""


def own_address() -> str:
    """The address that others on the network reach this machine by; the loopback's without a network."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect((_ELSEWHERE, 9))
        return str(probe.getsockname()[0])
    return "127.0.0.1"
