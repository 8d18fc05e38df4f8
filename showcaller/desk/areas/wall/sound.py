"""A song's reference heard while it is rehearsed, where this machine has a sound output to play it on."""

import importlib
import threading
from pathlib import Path
from typing import Any

from showcaller.screen.clips import read_sound
from showcaller.screen.errors import ClipError

RATE = 48_000
PORTAUDIO = "on Debian type: apt install libportaudio2"


class Sound:
    """Plays a file from a place. ``trouble`` is one line on why nothing is heard, empty if something is."""

    def __init__(self) -> None:
        self.trouble = ""
        self._device: Any = None
        self._looked = False
        self._file: tuple[Path, Any] | None = None
        self._playing: int = 0

    def play(self, path: Path | None, at_s: float) -> None:
        """Play from ``at_s`` into the file; reading it goes on in the background."""
        self.stop()
        if path is None:
            self.trouble = ""
            return
        device = self._open()
        if device is None:
            return
        mine = self._playing
        threading.Thread(target=self._begin, args=(device, path, at_s, mine), daemon=True).start()

    def stop(self) -> None:
        """Silence."""
        self._playing += 1
        if self._device is not None:
            self._device.stop()

    def _open(self) -> Any:
        if not self._looked:
            self._looked = True
            try:
                device = importlib.import_module("sounddevice")
                device.query_devices(kind="output")
                self._device = device
            except ImportError:
                self.trouble = "no sound: the package sounddevice is missing; type: pip install sounddevice"
            except OSError:  # as the package says it where the system's library is not there
                self.trouble = f"no sound: PortAudio is missing; {PORTAUDIO}"
            except Exception:  # the library's own error where there is no output
                self.trouble = "no sound: this machine has no sound output"
        return self._device

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
