"""Devices for the demo: sockets that listen where the show sends, and a MIDI input where there is MIDI."""

import os
import selectors
import socket
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from pythonosc import slip
from pythonosc.osc_message import OscMessage as Parsed

from showcaller.demo.errors import ReceiverError
from showcaller.engine.outlets.midi import rtmidi_module
from showcaller.model import MidiOutlet, OscTcpOutlet, Outlet, Show


@contextmanager
def quiet() -> Iterator[None]:
    """ALSA and JACK write to standard error from C when they are not there; our sentence is enough."""
    sys.stderr.flush()
    kept = os.dup(2)
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 2)
    try:
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(nothing)


@contextmanager
def receivers(show: Show, say: Callable[[str], None]) -> Iterator[None]:
    """Receivers for a show as long as the block lasts, so that its outlets find somebody; what cannot be had
    is said and does not matter."""
    try:
        receiver = Receiver(show)
    except ReceiverError as error:
        say(str(error))
        yield
        return
    try:
        yield
    finally:
        receiver.close()


class Receiver:
    """Listens on every OSC outlet of a show that is on this machine, and writes down what comes."""

    def __init__(self, show: Show) -> None:
        """Raises ReceiverError when a port is in use."""
        self.lines: list[str] = []
        self.counts: dict[str, int] = {o.id: 0 for o in show.outlets}
        self.without: list[str] = []
        self._selector = selectors.DefaultSelector()
        self._midi: list[Any] = []
        self._closing = False
        for outlet in show.outlets:
            if isinstance(outlet, MidiOutlet):
                with quiet():
                    self._listen_midi(outlet)
            elif outlet.host in ("127.0.0.1", "localhost", "::1"):
                self._listen(outlet)
        self._thread = threading.Thread(target=self._run, name="receiver", daemon=True)
        self._thread.start()

    def _listen(self, outlet: Outlet) -> None:
        assert not isinstance(outlet, MidiOutlet)
        tcp = isinstance(outlet, OscTcpOutlet)
        sock = socket.socket(socket.AF_INET, socket.SOCK_STREAM if tcp else socket.SOCK_DGRAM)
        try:
            if tcp:
                sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            sock.bind((outlet.host, outlet.port))
            if tcp:
                sock.listen()
        except OSError as error:
            sock.close()
            self.close()
            reason = (error.strerror or str(error)).lower()
            raise ReceiverError(
                f"port {outlet.port}, where {outlet.name} would be, cannot be had: {reason}; "
                "close the program that uses it"
            ) from None
        sock.setblocking(False)
        self._selector.register(sock, selectors.EVENT_READ, ("accept" if tcp else "udp", outlet, b""))

    def _listen_midi(self, outlet: MidiOutlet) -> None:
        try:
            rtmidi = rtmidi_module()
        except OSError as error:
            self.without.append(str(error))
            return
        for api in rtmidi.get_compiled_api():
            try:
                port = rtmidi.MidiIn(api, name="showcaller demo device")
                port.ignore_types(sysex=False, timing=False, active_sense=True)
                port.open_virtual_port(outlet.port)
                look = rtmidi.MidiOut(api, name="showcaller demo look")
                seen = look.get_ports()
                look.delete()
            except Exception:  # rtmidi raises its own: that system is not running here; try the next
                continue
            if any(outlet.port in name for name in seen):
                port.set_callback(lambda data, _: self._note(outlet, bytes(data[0]).hex(" ").upper()))
                self._midi.append(port)
                return
            port.delete()
        self.without.append(
            f"{outlet.name}: no MIDI system runs here (JACK or ALSA), so its messages stay home"
        )

    def _note(self, outlet: Outlet, words: str) -> None:
        self.counts[outlet.id] += 1
        self.lines.append(f"{outlet.name}\t{words}")

    def _run(self) -> None:
        while not self._closing:
            for key, _ in self._selector.select(0.1):
                kind, outlet, rest = key.data
                sock = key.fileobj
                assert isinstance(sock, socket.socket)
                if kind == "accept":
                    connection, _ = sock.accept()
                    connection.setblocking(False)
                    self._selector.register(connection, selectors.EVENT_READ, ("stream", outlet, b""))
                elif kind == "udp":
                    self._note(outlet, _words(sock.recv(65536)))
                else:
                    self._stream(sock, outlet, rest)

    def _stream(self, sock: socket.socket, outlet: OscTcpOutlet, rest: bytes) -> None:
        data = sock.recv(65536)
        if not data:
            self._selector.unregister(sock)
            sock.close()
            return
        rest += data
        if outlet.framing == "slip":
            *whole, rest = rest.split(slip.END)
            for packet in filter(None, whole):
                self._note(outlet, _words(slip.decode(slip.END + packet + slip.END)))
        else:
            while len(rest) >= 4 and len(rest) >= 4 + int.from_bytes(rest[:4], "big"):
                length = int.from_bytes(rest[:4], "big")
                self._note(outlet, _words(rest[4 : 4 + length]))
                rest = rest[4 + length :]
        self._selector.modify(sock, selectors.EVENT_READ, ("stream", outlet, rest))

    def write(self, path: Path) -> None:
        """Everything received, a message a line: outlet, tab, message."""
        path.write_text("\n".join(self.lines) + "\n", encoding="utf-8")

    def close(self) -> None:
        """Let go of every port."""
        self._closing = True
        if hasattr(self, "_thread"):
            self._thread.join(2)
        for key in list(self._selector.get_map().values()):
            assert isinstance(key.fileobj, socket.socket)
            key.fileobj.close()
        self._selector.close()
        with quiet():
            for port in self._midi:
                port.close_port()
                port.delete()


def _words(packet: bytes) -> str:
    message = Parsed(packet)
    return " ".join([message.address, *(repr(p) for p in message.params)])
