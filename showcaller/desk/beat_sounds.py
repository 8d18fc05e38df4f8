"""The last beats before a go, counted in the caller's headset. Off unless the settings name a device.

``settings.json``: ``{"beats": "words of the device's name"}`` for a click a beat; with ``"beat_sounds":
["four.wav", "three.wav", "two.wav", "one.wav"]`` each beat has a file of its own (beside the settings, 16
bits; the last is the beat before the go).
"""

import array
import sys
import wave
from math import pi, sin
from pathlib import Path

from showcaller.calling.caller_view import CallView
from showcaller.desk.headset import Headset, setting

_RATE_HZ, _LONG_S, _LEVEL = 48_000, 0.03, 0.2
_HIGH_HZ, _LOW_HZ = 1760.0, 880.0
_LONGEST_S = 2.0

Sound = tuple[list[float], int]
"""Samples in −1 to 1, one channel; and how many a second."""


class BeatSounds:
    """Sounds each of the last beats once. ``trouble`` is a sentence if it was asked for and cannot be had."""

    def __init__(self, settings: Path | None) -> None:
        self._headset = Headset(setting(settings, "beats"), "beats in the ear")
        self._sounds: list[Sound] = []
        self._trouble: str | None = None
        self._last: tuple[str, float] = ("", 0.0)
        names = setting(settings, "beat_sounds") if setting(settings, "beats") else None
        for name in names if isinstance(names, list) else []:
            try:
                self._sounds.append(read_sound(Path(settings or ".") / str(name)))
            except (OSError, ValueError, EOFError, wave.Error) as error:
                self._trouble = f"no beats in the ear: {name} cannot be read ({error}); give a WAV of 16 bits"
                self._sounds = []
                break

    @property
    def trouble(self) -> str | None:
        """Why they cannot be had."""
        return self._headset.trouble or self._trouble

    def due(self, view: CallView, since_s: float) -> int | None:
        """How many beats are left, just when one begins; None otherwise. The beat before the go is 1."""
        go = view.next_go
        if go is None or not go.beats_s or view.held_s is not None:
            self._last = ("", 0.0)
            return None
        in_s, (known, before_s) = go.in_s - since_s, self._last
        self._last = (go.id, in_s)
        if known != go.id:
            return None
        begun = [n for n, at_s in enumerate(go.beats_s) if in_s <= at_s < before_s]
        return len(go.beats_s) - begun[-1] if begun else None

    def look(self, view: CallView, since_s: float) -> None:
        """Sound a beat that begins."""
        left = self.due(view, since_s)
        if left is not None:
            self._headset.play(*self.sound(left))

    def sound(self, left: int) -> Sound:
        """What is heard with so many beats left."""
        if self._sounds:
            return self._sounds[max(0, len(self._sounds) - left)]
        return click(_HIGH_HZ if left == 1 else _LOW_HZ)


def click(tone_hz: float) -> Sound:
    """A short click that begins and ends in silence."""
    count = int(_RATE_HZ * _LONG_S)
    samples = [_LEVEL * sin(pi * n / count) * sin(2 * pi * tone_hz * n / _RATE_HZ) for n in range(count)]
    return samples, _RATE_HZ


def read_sound(path: Path) -> Sound:
    """A WAV of 16 bits, its first channel, two seconds of it at most.

    Raises:
        OSError, EOFError, wave.Error: it cannot be read.
        ValueError: it is not of 16 bits.
    """
    with wave.open(str(path), "rb") as file:
        if file.getsampwidth() != 2:
            raise ValueError(f"it has {8 * file.getsampwidth()} bits")
        channels, rate_hz = file.getnchannels(), file.getframerate()
        data = array.array("h", file.readframes(int(rate_hz * _LONGEST_S)))
    if sys.byteorder == "big":
        data.byteswap()
    return [sample / 32768 for sample in data[::channels]], rate_hz
