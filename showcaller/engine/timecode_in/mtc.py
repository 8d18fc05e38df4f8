"""MIDI Time Code from a MIDI input, found by the words in its name."""

import time
from fractions import Fraction
from typing import Any

from showcaller.engine.outlets.midi import rtmidi_module
from showcaller.engine.timecode_in.base import Heard, Listener, Post, Reporter, position_ns
from showcaller.model import MtcIn
from showcaller.timing.mtc import MtcRefused, MtcState, rate_code, step


class MtcPort(Listener):
    """A MIDI input; every quarter frame is posted with the instant at which it came."""

    def __init__(self, source: MtcIn, rate: str, post: Post, report: Reporter) -> None:
        """Raises ValueError where MIDI Time Code has no such rate."""
        super().__init__(report)
        rate_code(rate)
        self._words, self._rate, self._post = source.port.lower(), rate, post
        self._state = MtcState(rate)
        self._in: Any = None
        self._name = ""
        self.start()

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
                    port.ignore_types(sysex=False, timing=False, active_sense=True)
                    port.set_callback(self._take)
                    port.open_port(names.index(wanted[0]), "timecode in")
                    self._in, self._name = port, wanted[0]
                    return
            except rtmidi.RtMidiError:
                pass  # a client of a system that is not running fails only here
            port.delete()
        have = ", ".join(seen) or "none"
        raise OSError(f"no MIDI input with '{self._words}' in its name; there are: {have}")

    def _take(self, message: tuple[list[int], float], _: object = None) -> None:
        """A message, on the MIDI system's own thread."""
        at_ns = time.monotonic_ns()
        self._state, found = step(self._state, bytes(message[0]))
        for one in found:
            if isinstance(one, MtcRefused):
                self.say("refused", one.sentence)
            elif one.forward is not None:  # a full frame says where a stopped tape stands
                self.say("open")
                whole = one.quarter % 4 == 0
                self._post(Heard(position_ns(Fraction(one.quarter, 4), self._rate), at_ns, whole))

    def _alive(self) -> bool:
        try:
            return self._name in self._in.get_ports()
        except Exception:  # rtmidi raises its own errors when the system under it stops
            return False

    def _shut(self) -> None:
        self._in.close_port()
        self._in.delete()
        self._in = None
        self._state = MtcState(self._rate)
