"""Remote control by a MIDI pedal: only the messages the show names, on the channel it names."""

import time
from collections.abc import Callable
from typing import Any

from showcaller.engine.outlets.midi import rtmidi_module
from showcaller.engine.remote.gate import Asked
from showcaller.engine.timecode_in.base import Listener
from showcaller.model.remote import MidiRemote

_STATUS = {"note": 0x90, "control": 0xB0, "program": 0xC0}


def pedal_of(remote: MidiRemote, message: bytes) -> str | None:
    """What a MIDI message asks for; None for any that is not a named pedal going down."""
    if len(message) < 2 or message[0] & 0x0F != remote.channel - 1:
        return None
    for pedal in remote.pedals:
        if message[0] & 0xF0 != _STATUS[pedal.message] or message[1] != pedal.number:
            continue
        value = message[2] if len(message) > 2 else 127
        # A note of velocity 0 is a release (MIDI 1.0); a control counts as pressed from 64 on.
        if pedal.message == "program" or value >= (64 if pedal.message == "control" else 1):
            return pedal.does
    return None


class PedalPort(Listener):
    """A MIDI input, opened again when it comes back."""

    def __init__(
        self, remote: MidiRemote, post: Callable[[Asked], None], say: Callable[[str, str], None]
    ) -> None:
        super().__init__(lambda event: say(event["state"], event["why"]))
        self._remote, self._post = remote, post
        self._in: Any = None
        self._name = ""
        self.start()

    def _open(self) -> None:
        rtmidi = rtmidi_module()
        for api in rtmidi.get_compiled_api():
            try:
                port = rtmidi.MidiIn(api, name="showcaller")
                wanted = [n for n in port.get_ports() if self._remote.port.lower() in n.lower()]
                if wanted:
                    port.set_callback(self._take)
                    port.open_port(port.get_ports().index(wanted[0]), "remote in")
                    self._in, self._name = port, wanted[0]
                    return
                port.delete()
            except rtmidi.RtMidiError:  # that system is not running here
                continue
        raise OSError(f"no MIDI input with '{self._remote.port}' in its name for remote control")

    def _take(self, message: tuple[list[int], float], _: object = None) -> None:
        what = pedal_of(self._remote, bytes(message[0]))
        if what is not None:
            self._post(Asked(what, f"pedal at {self._name}", time.monotonic_ns()))

    def _alive(self) -> bool:
        try:
            return self._name in self._in.get_ports()
        except Exception:  # rtmidi raises its own errors when the system under it stops
            return False

    def _shut(self) -> None:
        self._in.close_port()
        self._in.delete()
        self._in = None
