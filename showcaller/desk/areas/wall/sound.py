"""A song's reference heard while it is rehearsed, where this machine has a sound output to play it on."""

import threading
from pathlib import Path
from typing import Any

from showcaller.desk.sound_output import SoundOutput
from showcaller.screen.clips import read_sound
from showcaller.screen.errors import ClipError

RATE = 48_000


class Sound:
    """Plays a file from a place. ``trouble`` is one line on why nothing is heard, empty if something is."""

    def __init__(self) -> None:
        self.trouble = ""
        self._output = SoundOutput()
        self._device: Any = None
        self._file: tuple[Path, Any] | None = None
        self._playing: int = 0

    def play(self, path: Path | None, at_s: float) -> None:
        """Play from ``at_s`` into the file; reading it goes on in the background."""
        self.stop()
        if path is None:
            self.trouble = ""
            return
        device = self._device = self._output.library()
        if device is None:
            self.trouble = self._output.trouble
            return
        mine = self._playing
        threading.Thread(target=self._begin, args=(device, path, at_s, mine), daemon=True).start()

    def stop(self) -> None:
        """Silence."""
        self._playing += 1
        if self._device is not None:
            self._device.stop()

    def _begin(self, device: Any, path: Path, at_s: float, mine: int) -> None:
        try:
            if self._file is None or self._file[0] != path:
                self._file = (path, read_sound(path, RATE))
            samples = self._file[1][int(at_s * RATE) :]
            if mine == self._playing and len(samples):
                device.play(samples, RATE)
            self.trouble = ""
        except ClipError as error:
            self.trouble = str(error)
        except Exception as error:  # a device that was pulled out
            self.trouble = f"no sound: {str(error).splitlines()[0].lower()}"
