"""A song's reference file: how long it is, and how loud along the way."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np

PEAKS_PER_S = 20


class MediaError(ValueError):
    """A file that cannot be used; one sentence."""


def length_of(path: Path | None, name: str) -> Fraction:
    """Seconds the file lasts, to the millisecond.

    Raises:
        MediaError: missing, not a media file, or of no known length.
    """
    if path is None or not path.exists():
        raise MediaError(f"reference: there is no file '{name}' beside the show; copy it there first")
    try:
        with av.open(str(path)) as container:
            if container.duration:
                return Fraction(round(container.duration / 1000), 1000)
            stream = container.streams[0]
            if stream.duration and stream.time_base:
                return round(stream.duration * stream.time_base, 3)
    except (av.FFmpegError, OSError, IndexError) as error:
        raise MediaError(f"reference: '{name}' cannot be read as audio or video ({error})") from None
    raise MediaError(f"reference: '{name}' does not say how long it is; type the length by hand")


def peaks_of(path: Path) -> tuple[tuple[float, float], ...]:
    """(second, loudest sample from 0 to 1) along a file's first sound track; empty if it has none.

    Raises:
        MediaError: it cannot be read.
    """
    found: list[float] = []
    try:
        with av.open(str(path)) as container:
            if not container.streams.audio:
                return ()
            # 8 kHz mono is plenty to draw by.
            resampler = av.AudioResampler(format="flt", layout="mono", rate=8000)
            rest = np.zeros(0, dtype=np.float32)
            block = 8000 // PEAKS_PER_S
            for frame in container.decode(audio=0):
                for part in resampler.resample(frame):
                    rest = np.concatenate([rest, part.to_ndarray().ravel()])
                whole = len(rest) // block
                if whole:
                    found += np.abs(rest[: whole * block].reshape(whole, block)).max(axis=1).tolist()
                    rest = rest[whole * block :]
    except (av.FFmpegError, OSError) as error:
        raise MediaError(f"{path.name} cannot be read as audio ({error})") from None
    top = max(found, default=0.0) or 1.0
    return tuple((n / PEAKS_PER_S, value / top) for n, value in enumerate(found))
