"""The names and addresses this machine is reached by."""

import contextlib
import socket
from ipaddress import ip_address

from showcaller.joining.own_address import own_address


def own_names(bind: str, more: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Every name and address a browser may ask for what listens at ``bind`` by, the best to show first."""
    if bind not in ("0.0.0.0", "::", ""):
        return tuple(dict.fromkeys([*more, bind, *(["localhost"] if bind.startswith("127.") else [])]))
    host = socket.gethostname().lower()
    names = [*more, own_address(), "127.0.0.1", "localhost"]
    if _plain(host):
        names += [host, f"{host.partition('.')[0]}.local"]
        with contextlib.suppress(OSError):
            names += [str(x[4][0]) for x in socket.getaddrinfo(host, None, socket.AF_INET)]
    return tuple(dict.fromkeys(name for name in names if _plain(name)))


def _plain(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return (
            bool(name)
            and len(name) < 254
            and name.replace("-", "").replace(".", "").isalnum()
            and name.isascii()
        )
    return True
