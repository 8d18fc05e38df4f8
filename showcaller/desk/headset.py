"""The caller's headset: one sound device of this machine, named in the settings; never any other.

``settings.json`` in the user's settings folder has words of the device's name, under ``chime`` for the sound
before a standby and under ``beats`` for the last beats before a go.
"""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any


def setting(settings: Path | None, name: str) -> Any:
    """What the settings have under a name; None if they have nothing, or cannot be read."""
    if settings is None:
        return None
    try:
        data = json.loads((settings / "settings.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return data.get(name) if isinstance(data, dict) else None


class Headset:
    """Plays on the device whose name has ``words`` in it; on none if they are empty.

    ``trouble`` is a sentence if it was asked for and cannot be had; ``what`` is what is missing then.
    """

    def __init__(self, words: Any, what: str) -> None:
        self.trouble: str | None = None
        self._what = what
        self._device: int | None = None
        self._sound: Any = None
        if not isinstance(words, str) or not words:
            return
        try:
            import sounddevice  # noqa: PLC0415 - optional, and looked for only when asked for
        except (ImportError, OSError):
            self.trouble = f"no {what}: sound is not installed here; type: pip install sounddevice"
            return
        outputs = [d for d in sounddevice.query_devices() if d["max_output_channels"]]
        mine = [d["index"] for d in outputs if words.lower() in d["name"].lower()]
        if not mine:
            have = ", ".join(d["name"] for d in outputs) or "none"
            self.trouble = f"no {what}: no sound device with '{words}' in its name; there are: {have}"
            return
        self._sound, self._device = sounddevice, mine[0]

    def play(self, samples: Sequence[float], rate_hz: int) -> None:
        """Samples in −1 to 1, one channel; nothing where there is no device."""
        if self._sound is None:
            return
        try:
            self._sound.play(samples, rate_hz, device=self._device, blocking=False)
        except Exception as error:  # PortAudio raises its own; a lost headset must not stop the desk
            self._sound, self.trouble = None, f"no {self._what}: {error}"
