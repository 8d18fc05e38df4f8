"""Finding the caller's machine without typing: multicast DNS (RFC 6762, 6763), by ``zeroconf``.

What is announced is a name and a port, which anybody on the network may see and anybody may announce: it
says where to knock, and never who is to be believed. The code does that.
"""

import contextlib
import socket
import threading
import time
from typing import Any

from zeroconf import Error as ZeroconfError
from zeroconf import ServiceBrowser, ServiceInfo, ServiceStateChange, Zeroconf

from showcaller.values import Struct

SERVICE = "_showcaller._tcp.local."
LOOK_S = 2.0


class Found(Struct, frozen=True):
    """A door that announces itself: what it is called, and where it is (``host:port``)."""

    name: str
    door: str


class Announcement:
    """The door is announced until closed; asking the network takes a second or two, so it is done beside. A
    network without multicast is no reason to have no door: then ``works`` is False, and its address is
    typed."""

    def __init__(self, ident: str, name: str, address: str, port: int) -> None:
        self.works = False
        self._ended = threading.Event()
        self._info = ServiceInfo(
            SERVICE,
            f"{ident}.{SERVICE}",
            port=port,
            addresses=[socket.inet_aton(address)],
            properties={"name": name, "version": "1"},
        )
        self._thread = threading.Thread(target=self._announce, name="announcing", daemon=True)
        self._thread.start()

    def _announce(self) -> None:
        try:
            with contextlib.closing(Zeroconf()) as zeroconf:
                zeroconf.register_service(self._info, cooperating_responders=True)
                self.works = True
                self._ended.wait()
                zeroconf.unregister_all_services()
        except (OSError, ValueError, RuntimeError, ZeroconfError):
            self.works = False

    def close(self) -> None:
        """It is announced no more."""
        self._ended.set()
        self._thread.join(2.0)


def find(wait_s: float = LOOK_S) -> list[Found]:
    """The doors that announce themselves, looked for so long; empty where the network lets nothing by."""
    names: set[str] = set()

    def seen(*, name: str, state_change: ServiceStateChange, **_: Any) -> None:
        if state_change is not ServiceStateChange.Removed:
            names.add(name)

    try:
        with contextlib.closing(Zeroconf()) as zeroconf:
            browser = ServiceBrowser(zeroconf, SERVICE, handlers=[seen])
            time.sleep(wait_s)
            found = [_found(zeroconf.get_service_info(SERVICE, name, 500)) for name in sorted(names)]
            browser.cancel()
    except (OSError, RuntimeError):
        return []
    return [one for one in found if one is not None]


def _found(info: ServiceInfo | None) -> Found | None:
    addresses = [] if info is None else info.parsed_addresses()
    if info is None or not addresses:
        return None
    name = (info.properties.get(b"name") or b"").decode(errors="replace")[:40]
    return Found(name or info.name, f"{addresses[0]}:{info.port}")
