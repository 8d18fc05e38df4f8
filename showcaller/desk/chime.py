"""A soft sound in the caller's headset when a standby comes near. Off unless the settings name a device.

``settings.json`` in the user's settings folder: ``{"chime": "words of the sound device's name"}``. It is
played on that device and on no other, so that nothing is ever heard in the house.
"""

import json
from math import pi, sin
from pathlib import Path
from typing import Any

from showcaller.calling.caller_view import CallView

NEAR_S = 3.0
"""This long before it is to be said."""
_RATE_HZ, _TONE_HZ, _LONG_S, _LEVEL = 48_000, 660.0, 0.12, 0.12


class Chime:
    """Sounds once for each standby. ``trouble`` is a sentence if it was asked for and cannot be had."""

    def __init__(self, settings: Path | None) -> None:
        self.trouble: str | None = None
        self._sounded: str | None = None
        self._device: int | None = None
        self._sound: Any = None
        words = _wanted(settings)
        if words is None:
            return
        try:
            import sounddevice  # noqa: PLC0415 - optional, and looked for only when asked for
        except (ImportError, OSError):
            self.trouble = "no chime: sound is not installed here; type: pip install sounddevice"
            return
        outputs = [d for d in sounddevice.query_devices() if d["max_output_channels"]]
        mine = [d["index"] for d in outputs if words.lower() in d["name"].lower()]
        if not mine:
            have = ", ".join(d["name"] for d in outputs) or "none"
            self.trouble = f"no chime: no sound device with '{words}' in its name; there are: {have}"
            return
        self._sound, self._device = sounddevice, mine[0]

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
        if self.due(view, since_s) and self._sound is not None:
            try:
                self._sound.play(wave(), _RATE_HZ, device=self._device, blocking=False)
            except Exception as error:  # PortAudio raises its own; a lost headset must not stop the desk
                self._sound, self.trouble = None, f"no chime: {error}"


def wave() -> list[float]:
    """The sound: a short tone that swells and fades, samples in −1 to 1 at 48 kHz."""
    count = int(_RATE_HZ * _LONG_S)
    return [_LEVEL * sin(pi * n / count) * sin(2 * pi * _TONE_HZ * n / _RATE_HZ) for n in range(count)]


def _wanted(settings: Path | None) -> str | None:
    if settings is None:
        return None
    try:
        data = json.loads((settings / "settings.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    words = data.get("chime") if isinstance(data, dict) else None
    return words if isinstance(words, str) and words else None
