"""A soft sound in the caller's headset when a standby comes near. Off unless the settings name a device.

``settings.json`` in the user's settings folder: ``{"chime": "words of the sound device's name"}``. It is
played on that device and on no other, so that nothing is ever heard in the house.
"""

from math import pi, sin
from pathlib import Path

from showcaller.calling.caller_view import CallView
from showcaller.desk.beat_sounds import BeatSounds
from showcaller.desk.headset import Headset, setting

NEAR_S = 3.0
"""This long before it is to be said."""
_RATE_HZ, _TONE_HZ, _LONG_S, _LEVEL = 48_000, 660.0, 0.12, 0.12


class Chime:
    """Sounds once for each standby. ``trouble`` is a sentence if it was asked for and cannot be had."""

    def __init__(self, settings: Path | None) -> None:
        self._sounded: str | None = None
        self._headset = Headset(setting(settings, "chime"), "chime")

    @property
    def trouble(self) -> str | None:
        """Why it cannot be had."""
        return self._headset.trouble

    def due(self, view: CallView, since_s: float) -> bool:
        """Whether a standby has just come near; true once for each."""
        say = view.next_say
        if say is None or view.held_s is not None or not 0 < say.in_s - since_s <= NEAR_S:
            return False
        if say.id == self._sounded:
            return False
        self._sounded = say.id
        return True

    def look(self, view: CallView, since_s: float) -> None:
        """Sound if it is due and there is a device."""
        if self.due(view, since_s):
            self._headset.play(wave(), _RATE_HZ)


def wave() -> list[float]:
    """The sound: a short tone that swells and fades, samples in −1 to 1 at 48 kHz."""
    count = int(_RATE_HZ * _LONG_S)
    return [_LEVEL * sin(pi * n / count) * sin(2 * pi * _TONE_HZ * n / _RATE_HZ) for n in range(count)]


class InTheEar:
    """All that is heard in the headset: the chime before a standby, the last beats before a go."""

    def __init__(self, settings: Path | None) -> None:
        self._parts = (Chime(settings), BeatSounds(settings))

    def look(self, view: CallView, since_s: float) -> None:
        """Sound what is due."""
        for part in self._parts:
            part.look(view, since_s)

    @property
    def trouble(self) -> str | None:
        """What was asked for and cannot be had."""
        return next((part.trouble for part in self._parts if part.trouble), None)
