"""MIDI through python-rtmidi, found by the words in a port name; absent MIDI is a sentence, not an error."""

import os
import sys
from typing import Any

from showcaller.engine.outlets.base import Worker
from showcaller.model import MidiOutlet
from showcaller.run.events import Reporter

MIDI_MISSING = (
    "MIDI is not installed here (python-rtmidi); on Debian type: "
    "apt install libasound2-dev libjack-jackd2-dev pkg-config g++, then: pip install python-rtmidi"
)


def rtmidi_module() -> Any:
    """The rtmidi module.

    Raises:
        OSError: it is not installed; the sentence says what to type.
    """
    # Asking for MIDI must never start a sound server behind the user's back.
    os.environ.setdefault("JACK_NO_START_SERVER", "1")
    try:
        import rtmidi  # noqa: PLC0415 - optional, and looked for only when a show has MIDI
    except ImportError:
        raise OSError(MIDI_MISSING) from None
    return rtmidi


def _try_client(rtmidi: Any, api: int) -> Any:
    try:
        return rtmidi.MidiOut(api, name="showcaller")
    except rtmidi.RtMidiError:  # that system is not running here
        return None


class MidiPort(Worker):
    """A MIDI output kept by its own thread; opened again when it comes back."""

    def __init__(self, outlet: MidiOutlet, report: Reporter) -> None:
        super().__init__(outlet.id, report)
        self._outlet = outlet
        self._out: Any = None
        self._name = ""
        self.start()

    def _open(self) -> None:
        rtmidi = rtmidi_module()
        if self._outlet.virtual and sys.platform == "win32":
            raise OSError("Windows cannot make a MIDI port; name an existing one")
        seen: list[str] = []
        for api in rtmidi.get_compiled_api():
            out = _try_client(rtmidi, api)
            if out is None:
                continue
            try:
                if self._outlet.virtual:
                    out.open_virtual_port(self._outlet.port)
                    self._out, self._name = out, ""
                    return
                names = out.get_ports()
                seen += names
                wanted = [n for n in names if self._outlet.port.lower() in n.lower()]
                if wanted:
                    out.open_port(names.index(wanted[0]), "out")
                    self._out, self._name = out, wanted[0]
                    return
            except rtmidi.RtMidiError:
                pass  # a client of a system that is not running fails only here
            out.delete()
        have = ", ".join(seen) or "none"
        raise OSError(f"no MIDI port with '{self._outlet.port}' in its name; there are: {have}")

    def _write(self, packet: bytes) -> None:
        try:
            self._out.send_message(list(packet))
        except Exception as error:
            raise OSError(str(error)) from None

    def _alive(self) -> bool:
        if not self._name:
            return True
        try:
            return self._name in self._out.get_ports()
        except Exception:  # rtmidi raises its own errors when the system under it stops
            return False

    def _shut(self) -> None:
        if self._out is not None:
            self._out.close_port()
            self._out.delete()
            self._out = None
