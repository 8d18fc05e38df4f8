"""A MIDI input found by the words in its name, opened again whenever it comes back."""

import threading
from typing import Any

from showcaller.engine.listener import Listener
from showcaller.engine.outlets.midi import rtmidi_module
from showcaller.engine.priority import keep_pace
from showcaller.run.events import Reporter


class MidiInput(Listener):
    """Calls ``_take`` with every message, on the MIDI system's own thread. Subclasses call ``start``."""

    def __init__(
        self, words: str, label: str, report: Reporter, timing: bool = False, sysex: bool = False
    ) -> None:
        super().__init__(report)
        self._words, self._label, self._timing = words.lower(), label, timing
        self._sysex = sysex or timing
        self._in: Any = None
        self._name = ""
        self._at_pace: int | None = None

    def _open(self) -> None:
        rtmidi = rtmidi_module()
        seen: list[str] = []
        for api in rtmidi.get_compiled_api():
            try:
                port = rtmidi.MidiIn(api, name="showcaller")
            except rtmidi.RtMidiError:  # that system is not running here
                continue
            try:
                names = port.get_ports()
                seen += names
                wanted = [n for n in names if self._words in n.lower()]
                if wanted:
                    # Time code counts as timing, which is left out unless asked for.
                    port.ignore_types(sysex=not self._sysex, timing=not self._timing, active_sense=True)
                    self._in, self._name = port, wanted[0]
                    self._called()
                    port.open_port(names.index(wanted[0]), self._label)
                    return
            except rtmidi.RtMidiError:
                self._in = None  # a client of a system that is not running fails only here
            port.delete()
        have = ", ".join(seen) or "none"
        raise OSError(f"no MIDI input with '{self._words}' in its name; there are: {have}")

    def _called(self) -> None:
        """Be called with every message from here on."""
        self._in.set_callback(lambda data, _: self._came(bytes(data[0])))

    def _came(self, message: bytes) -> None:
        if self._at_pace != threading.get_ident():  # the MIDI system's thread, another after each opening
            self._at_pace = threading.get_ident()
            keep_pace()
        self._take(message)

    def _take(self, message: bytes) -> None:
        raise NotImplementedError

    def _alive(self) -> bool:
        try:
            return self._name in self._in.get_ports()
        except Exception:  # rtmidi raises its own errors when the system under it stops
            return False

    def _shut(self) -> None:
        self._in.close_port()
        self._in.delete()
        self._in = None
