"""Linear timecode from a sound input, or from a sound file played in real time."""

import importlib
import time
import wave
from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt

from showcaller.engine.listener import Listener
from showcaller.engine.timecode_in.base import Heard, Post, position_ns
from showcaller.model import LtcIn
from showcaller.run.events import Reporter
from showcaller.timing.ltc import LtcDecoder

SOUND_MISSING = (
    "sound inputs need the package sounddevice, which is not installed; type: pip install sounddevice"
)
_WAV = "wav:"
_SAMPLE_RATE = 48_000
_BLOCK_S = 0.01

Take = Callable[[npt.NDArray[np.float64], int], None]
"""Takes samples of one channel, and the monotonic instant (ns) of the first."""


class LtcPort(Listener):
    """A sound input; every frame is posted with the instant at which it ended."""

    look_s = 0.02

    def __init__(self, source: LtcIn, rate: str, post: Post, report: Reporter) -> None:
        """Raises ValueError where linear timecode does not carry ``rate``."""
        super().__init__(report)
        LtcDecoder(rate)
        self._source, self._rate, self._post = source, rate, post
        self._sound: SoundFile | SoundInput | None = None
        self.start()

    def _open(self) -> None:
        device = self._source.device
        sound: SoundFile | SoundInput
        if device.startswith(_WAV):
            sound = SoundFile(device.removeprefix(_WAV), self._source.channel)
        else:
            sound = SoundInput(device, self._source.channel)
        sound.start(Decoding(self._rate, sound.sample_rate, self._post))
        self._sound = sound

    def _alive(self) -> bool:
        return self._sound is not None and self._sound.play()

    def _shut(self) -> None:
        if self._sound is not None:
            self._sound.close()
            ended, self._sound = self._sound.ended, None
            if ended:  # a file is not played again
                self.say("closed", "the sound file has been played to its end")
                self._stop.wait()


class Decoding:
    """Samples in, what was heard out."""

    def __init__(self, rate: str, sample_rate: int, post: Post) -> None:
        self._rate, self._sample_rate, self._post = rate, sample_rate, post
        self._decoder = LtcDecoder(rate, sample_rate)
        self._fed = 0

    def __call__(self, samples: npt.NDArray[np.float64], at_ns: int) -> None:
        """Samples whose first was at ``at_ns``."""
        start, self._fed = self._fed, self._fed + len(samples)
        for frame in self._decoder.feed(samples):
            passed_ns = round((frame.ends_at - start) * 1e9 / self._sample_rate)
            # Run forwards, a frame's end is the start of the next; backwards it is its own start.
            place = frame.frame + (0 if frame.reverse else 1)
            self._post(Heard(position_ns(place, self._rate), at_ns + passed_ns))


class SoundFile:
    """A WAV file, read no faster than it sounds."""

    def __init__(self, path: str, channel: int) -> None:
        """Raises OSError: not there, not a WAV file of whole numbers, or without this channel."""
        self.ended = False
        try:
            self._file = wave.open(path, "rb")  # noqa: SIM115 - closed by ``close``
        except (wave.Error, EOFError) as error:
            raise OSError(
                f"{path} cannot be played ({str(error) or 'it is empty'}); give a PCM WAV file"
            ) from None
        except OSError as error:
            raise OSError(f"cannot read {path}: {(error.strerror or str(error)).lower()}") from None
        self._channels, self._width = self._file.getnchannels(), self._file.getsampwidth()
        self.sample_rate = self._file.getframerate()
        if channel > self._channels:
            self._file.close()
            raise OSError(
                f"{path} has {self._channels} channels, so no channel {channel}; name one that is there"
            )
        self._channel = channel - 1
        self._given = 0

    def start(self, take: Take) -> None:
        """From now on the file sounds, to ``take``."""
        self._take, self._start_ns = take, time.monotonic_ns()

    def play(self) -> bool:
        """Give what has sounded since the last call; False once all has."""
        due = (time.monotonic_ns() - self._start_ns) * self.sample_rate // 1_000_000_000
        while self._given < due:
            count = min(due - self._given, int(_BLOCK_S * self.sample_rate) or 1)
            samples = self._read(count)
            if len(samples) == 0:
                self.ended = True
                return False
            at_ns = self._start_ns + self._given * 1_000_000_000 // self.sample_rate
            self._given += len(samples)
            self._take(samples, at_ns)
        return True

    def _read(self, count: int) -> npt.NDArray[np.float64]:
        raw = np.frombuffer(self._file.readframes(count), dtype=np.uint8)
        raw = raw.reshape(-1, self._channels, self._width)[:, self._channel]
        if self._width == 1:  # eight bits have no sign
            return raw[:, 0].astype(np.float64) / 128 - 1
        wide = np.zeros((len(raw), 4), dtype=np.uint8)
        wide[:, 4 - self._width :] = raw
        return wide.view("<i4")[:, 0].astype(np.float64) / 2.0**31

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()


class SoundInput:
    """A sound input of this machine."""

    sample_rate = _SAMPLE_RATE
    ended = False

    def __init__(self, words: str, channel: int) -> None:
        """Raises OSError: no such input, or the package is missing."""
        try:
            self._sound: Any = importlib.import_module("sounddevice")
        except (ImportError, OSError):  # it raises OSError where the system's sound library is missing
            raise OSError(SOUND_MISSING) from None
        devices = [(n, d) for n, d in enumerate(self._sound.query_devices()) if d["max_input_channels"] > 0]
        wanted = [(n, d) for n, d in devices if words.lower() in d["name"].lower()]
        if not wanted:
            have = ", ".join(d["name"] for _, d in devices) or "none"
            raise OSError(f"no sound input with '{words}' in its name; there are: {have}")
        self._index, device = wanted[0]
        if device["max_input_channels"] < channel:
            raise OSError(f"'{device['name']}' has no channel {channel}; name one that it has")
        self._channel = channel - 1
        self._stream: Any = None

    def start(self, take: Take) -> None:
        """From now on what comes in goes to ``take``, on the sound system's own thread."""

        def came(block: Any, _frames: int, when: Any, _status: object) -> None:
            ago_s = when.currentTime - when.inputBufferAdcTime
            take(block[:, self._channel].astype(np.float64), time.monotonic_ns() - round(ago_s * 1e9))

        try:
            self._stream = self._sound.InputStream(
                device=self._index,
                channels=self._channel + 1,
                samplerate=_SAMPLE_RATE,
                blocksize=int(_BLOCK_S * _SAMPLE_RATE),
                callback=came,
            )
            self._stream.start()
        except self._sound.PortAudioError as error:
            raise OSError(str(error)) from None

    def play(self) -> bool:
        """Whether it still sounds."""
        return bool(self._stream.active)

    def close(self) -> None:
        """Let go of the device."""
        self._stream.close()
