"""Ports: what this machine can open, and whether those the show's remotes need are free."""

import socket
from collections.abc import Iterator

from showcaller.model import Show
from showcaller.model.remote import OscRemote
from showcaller.readiness.devices import midi_ports
from showcaller.readiness.finding import Finding


def ports(show: Show | None) -> Iterator[Finding]:
    """A datagram and a connection inside this machine, MIDI, then the ports the show wants to listen at."""
    yield _own()
    yield _midi()
    for remote in show.remotes if show is not None else ():
        if isinstance(remote, OscRemote):
            yield _free(remote)


def _own() -> Finding:
    try:
        with (
            socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as heard,
            socket.create_server(("127.0.0.1", 0)) as server,
        ):
            heard.bind(("127.0.0.1", 0))
            heard.settimeout(1)
            with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
                sender.sendto(b"x", heard.getsockname())
            heard.recv(9)
            socket.create_connection(server.getsockname()[:2], 1).close()
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        do = "Check the firewall, and close other programs that use the network."
        return Finding("ports", "wrong", f"this machine does not reach itself: {why}.", do)
    return Finding("ports", "good", "datagrams and connections inside this machine arrive.")


def _midi() -> Finding:
    found = midi_ports()
    if isinstance(found, str):
        return Finding("MIDI", "look", f"{found}.", "Install it, or a show with MIDI cannot send.")
    if not found:
        return Finding("MIDI", "good", "is installed; no port is connected.")
    return Finding("MIDI", "good", f"ports: {', '.join(found)}.")


def _free(remote: OscRemote) -> Finding:
    what = f"remote control at {remote.host} port {remote.port}"
    family = socket.AF_INET6 if ":" in remote.host else socket.AF_INET
    with socket.socket(family, socket.SOCK_DGRAM) as probe:
        try:
            probe.bind((remote.host, remote.port))
        except OSError as error:
            why = (error.strerror or str(error)).lower()
            return Finding(
                what, "wrong", f"cannot be listened at: {why}.", "Free it, or give another in the show."
            )
    return Finding(what, "good", "can be listened at.")
