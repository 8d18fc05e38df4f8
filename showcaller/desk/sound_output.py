"""The machine's sound output, looked for when something is to be heard; without one, a line on why. No Qt."""

import importlib
from typing import Any

PORTAUDIO = "on Debian type: apt install libportaudio2"


class SoundOutput:
    """``trouble`` is one line on why there is none; empty if there is, or nobody looked yet."""

    def __init__(self) -> None:
        self.trouble = ""
        self._library: Any = None
        self._looked = False

    def library(self) -> Any:
        """The sound library, ready to play; None without an output."""
        if not self._looked:
            self._looked = True
            try:
                library = importlib.import_module("sounddevice")
                library.query_devices(kind="output")
                self._library = library
            except ImportError:
                self.trouble = "no sound: the package sounddevice is missing; type: pip install sounddevice"
            except OSError:  # as the package says it where the system's library is not there
                self.trouble = f"no sound: PortAudio is missing; {PORTAUDIO}"
            except Exception:  # the library's own error where there is no output
                self.trouble = "no sound: this machine has no sound output"
        return self._library
