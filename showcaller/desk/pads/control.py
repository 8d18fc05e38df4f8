"""What a controller sends: pads that go down and up, faders in 7 or 14 bits. Pure.

MIDI 1.0: a note of velocity 0 is a release; controllers 0 to 31 have their lower seven bits in controllers 32
to 63, which follow them.
"""

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Literal

from showcaller.values import Struct

NOTE_OFF, NOTE_ON, CONTROL = 0x80, 0x90, 0xB0
PRESSED = 64
"""From this value on a controller that is a button counts as pressed (MIDI 1.0: 64 and more is on)."""

LOW = 32
"""The lower half of a controller's value has a number so much higher."""

CHANNEL_MODE = 120
"""From here on a control change is a message about the channel (MIDI 1.0), and no fader."""


class Control(Struct, frozen=True):
    """A pad (``note``) or a fader or button (``control``) of a controller; ``channel`` 1 to 16."""

    message: Literal["note", "control"]
    channel: int
    number: int

    @property
    def words(self) -> str:
        """``note 36, channel 1``."""
        return f"{self.message} {self.number}, channel {self.channel}"


class Heard(Struct, frozen=True):
    """A control and where it is, 0 to 1; a pad that is let go is at 0."""

    control: Control
    value: float
    down: bool


@dataclass(slots=True)
class Reading:
    """Remembers where a controller's faders were, for the lower half of 14 bits that follows."""

    _high: dict[tuple[int, int], int] = field(default_factory=dict)

    def heard(self, message: bytes, alone: Collection[Control] = ()) -> Heard | None:
        """What a message says; None for any other. ``alone`` are controls that are bound for themselves, and
        so no lower half of another."""
        if len(message) != 3 or max(message[1:]) > 127:
            return None
        kind, channel, number, value = message[0] & 0xF0, (message[0] & 0x0F) + 1, message[1], message[2]
        if kind in (NOTE_ON, NOTE_OFF):
            value = value if kind == NOTE_ON else 0
            return Heard(Control("note", channel, number), value / 127, value > 0)
        if kind != CONTROL or number >= CHANNEL_MODE:
            return None
        if number < LOW:
            self._high[channel, number] = value
        high = self._high.get((channel, number - LOW))
        if high is not None and Control("control", channel, number) not in alone:
            return _fader(channel, number - LOW, (high << 7 | value) / 16383)
        # Of 7 bits, or the upper half of 14, which the lower one makes exact: all of the way is 1 in both.
        return _fader(channel, number, value / 127)


def _fader(channel: int, number: int, value: float) -> Heard:
    return Heard(Control("control", channel, number), value, value * 127 >= PRESSED)
