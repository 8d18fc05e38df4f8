"""Where somebody speaks: a sound cut into stretches of speech by the recogniser's own voice activity detector
(that of WebRTC)."""

from collections.abc import Iterable, Iterator

import numpy as np
import numpy.typing as npt
from pocketsphinx import Endpointer, Vad

from showcaller.values import Struct

Samples = npt.NDArray[np.float32]
HZ = 16_000
"""Samples a second of the acoustic model."""
PAD_S = 0.25
"""So much before and behind a stretch goes to the recogniser with it."""
LONGEST_S, BACK_S = 12.0, 6.0
"""Where music never stops a stretch ends after so long, and the next begins so far back."""
_WINDOW_S, _RATIO = 0.36, 0.8


class SpeechStretch(Struct, frozen=True):
    """Somebody speaks from ``begins_s`` to ``ends_s`` of the file; ``samples`` begin ``PAD_S`` before."""

    begins_s: float
    ends_s: float
    from_s: float
    samples: Samples


def stretches(blocks: Iterable[Samples]) -> Iterator[SpeechStretch]:
    """The stretches of a sound that comes in blocks of any length, −1 to 1 at ``HZ``."""
    ear = Endpointer(window=_WINDOW_S, ratio=_RATIO, vad_mode=Vad.STRICT, sample_rate=HZ)
    size = ear.frame_bytes // 2
    kept: list[Samples] = []  # what may belong to a stretch
    kept_from = 0
    began_s: float | None = None
    rest = np.zeros(0, np.float32)

    def cut(begins_s: float, ends_s: float) -> SpeechStretch:
        sound = np.concatenate(kept)
        first = max(0, round((begins_s - PAD_S) * HZ) - kept_from)
        last = max(first + 1, round((ends_s + PAD_S) * HZ) - kept_from)
        return SpeechStretch(begins_s, ends_s, (kept_from + first) / HZ, sound[first:last])

    for block in blocks:
        rest = np.concatenate((rest, block))
        whole = len(rest) // size * size
        for at in range(0, whole, size):
            frame = rest[at : at + size]
            kept.append(frame)
            ear.process(_bytes(frame))
            now = kept_from + sum(map(len, kept))
            if ear.in_speech and began_s is None:
                began_s = ear.speech_start
            elif began_s is not None and (not ear.in_speech or now / HZ - began_s > LONGEST_S):
                ended_s = ear.speech_end if not ear.in_speech else now / HZ
                yield cut(began_s, ended_s)
                began_s = None if not ear.in_speech else now / HZ - BACK_S
                if began_s is not None:
                    kept_from, kept = _forget(kept_from, kept, BACK_S + PAD_S)
            if began_s is None:
                kept_from, kept = _forget(kept_from, kept, _WINDOW_S + PAD_S + 0.2)
        rest = rest[whole:]
    if began_s is not None and kept:
        yield cut(began_s, kept_from / HZ + sum(map(len, kept)) / HZ)


def _forget(kept_from: int, kept: list[Samples], keep_s: float) -> tuple[int, list[Samples]]:
    """Only what a stretch that is found now may begin with."""
    keep = round(keep_s * HZ)
    have = sum(map(len, kept))
    while kept and have - len(kept[0]) > keep:
        have -= len(kept[0])
        kept_from += len(kept[0])
        kept = kept[1:]
    return kept_from, kept


def _bytes(samples: Samples) -> bytes:
    return (np.clip(samples, -1.0, 1.0) * 32767).astype(np.int16).tobytes()


pcm = _bytes
"""Samples as the detector and the recogniser take them: 16 bits, signed."""
