"""The sound of a file from a place on, a little at a time: two hours of it are never in memory."""

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import numpy.typing as npt

from showcaller.outside.media import OPEN_AS
from showcaller.screen.clips import look_at_clip
from showcaller.screen.errors import ClipError

Block = npt.NDArray[np.float32]
_AHEAD_S = 1
"""Decoders want to begin a little before what is wanted."""


def sound_stream(path: str | Path, at_s: float, rate: int) -> Iterator[Block]:
    """Blocks of samples from −1 to 1, all channels mixed into one, ``rate`` a second.

    The first sample is that of ``at_s``, seconds from the file's first picture, or from its first sound if it
    has no picture; where the sound begins later there is silence before it.

    Raises:
        ClipError: missing, or without sound that can be decoded.
    """
    try:
        look_at_clip(Path(path))
        with av.open(str(path), options=dict(OPEN_AS), metadata_errors="replace") as container:
            if not container.streams.audio:
                raise ClipError(f"{path} has no sound in it")
            yield from _blocks(container, Fraction(at_s), rate)
    except (av.error.FFmpegError, OSError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ClipError(f"the sound of {path} cannot be read ({reason.lower()})") from None


def _blocks(container: Any, at_s: Fraction, rate: int) -> Iterator[Block]:
    stream = container.streams.audio[0]
    base = Fraction(stream.time_base)
    begin_s = _zero_s(container, stream, base) + at_s
    if at_s > 0:
        container.seek(max(0, int((begin_s - _AHEAD_S) / base)), stream=stream, backward=True)
    into_one = av.AudioResampler(format="fltp", layout="mono", rate=rate)
    drop: int | None = None
    for frame in container.decode(stream):
        if drop is None:
            drop = round((begin_s - Fraction(frame.pts or 0) * base) * rate)
            if drop < 0:
                yield np.zeros(-drop, np.float32)
                drop = 0
        for part in into_one.resample(frame):
            samples: Block = part.to_ndarray()[0].astype(np.float32)
            skipped = min(drop, len(samples))
            drop -= skipped
            if skipped < len(samples):
                yield samples[skipped:]


def _zero_s(container: Any, stream: Any, base: Fraction) -> Fraction:
    """Where the file's own clock begins, as its pictures are counted."""
    video = container.streams.video
    if video and video[0].start_time is not None:
        return Fraction(video[0].start_time * Fraction(video[0].time_base))
    return Fraction(stream.start_time * base) if stream.start_time is not None else Fraction(0)
