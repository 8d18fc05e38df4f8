"""Remote control by a MIDI pedal: only the messages the show names, on the channel it names."""

import time
from collections.abc import Callable

from showcaller.engine.midi_in import MidiInput
from showcaller.engine.remote.gate import Asked
from showcaller.engine.remote.pressing import Presses
from showcaller.model.remote import MidiRemote
from showcaller.run.events import Event, TimecodePortState

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


class PedalPort(MidiInput):
    """A MIDI input that posts the pedals the show names."""

    def __init__(
        self, remote: MidiRemote, post: Callable[[Asked], None], say: Callable[[str, str, str], None]
    ) -> None:
        self._say = say
        super().__init__(remote.port, "remote in", self._heard_of)
        self._remote, self._post = remote, post
        self._presses = Presses()
        self.start()

    def _heard_of(self, event: Event) -> None:
        if isinstance(event, TimecodePortState):
            self._say(event.state, "", event.why)

    def _take(self, message: bytes) -> None:
        what, now_ns = pedal_of(self._remote, message), time.monotonic_ns()
        if message and message[0] & 0xF0 == _STATUS["control"] and len(message) > 2:
            # A pedal on its way down sends many values above the middle, and is one press.
            pressed = self._presses.is_press(message[:2], float(message[2]) if what else 0.0, now_ns)
            what = what if pressed else None
        if what is not None:
            self._post(Asked(what, f"pedal at {self._name}", now_ns))
