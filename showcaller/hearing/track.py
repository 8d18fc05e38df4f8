"""A headset track's sound as it streams by, at the recogniser's rate: nothing of it is kept."""

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import av.error
import numpy as np

from showcaller.hearing.activity import HZ, Samples
from showcaller.outside import Refused, Within
from showcaller.outside.media import OPEN_AS
from showcaller.screen.clips import look_at_clip
from showcaller.screen.errors import ClipError


def blocks(within: Within, path: Path) -> Iterator[Samples]:
    """One channel of samples, −1 to 1 at ``HZ``, from the picture's beginning, or the sound's own.

    Raises:
        Refused: missing, or without sound that can be decoded.
    """
    try:
        look_at_clip(path)
        with av.open(str(path), options=dict(OPEN_AS), metadata_errors="replace") as container:
            if not container.streams.audio:
                raise Refused(f"{path.name} has no sound in it")
            yield from _decoded(within, container)
    except ClipError as error:
        raise Refused(str(error)) from None
    except (av.error.FFmpegError, OSError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise Refused(f"the sound of {path.name} cannot be read ({reason})") from None


def _decoded(within: Within, container: Any) -> Iterator[Samples]:
    stream = container.streams.audio[0]
    length_s = int((container.duration or 0) / 1e6) + 1
    lead = _lead(container, stream)
    resampler = av.AudioResampler(format="s16", layout="mono", rate=HZ)
    told = done = 0
    for frame in container.decode(stream):
        for made in resampler.resample(frame):
            samples: Samples = made.to_ndarray().reshape(-1).astype(np.float32) / np.float32(32768)
            if lead > 0:
                yield np.zeros(lead, np.float32)
                lead = 0
            elif lead < 0:
                cut = min(-lead, len(samples))
                samples, lead = samples[cut:], lead + cut
            done += len(samples)
            yield samples
        if done // HZ > told:
            told = done // HZ
            within.tell("listening", min(told, length_s), length_s)


def _lead(container: Any, stream: Any) -> int:
    """Samples of silence before the sound's first one, below zero if it begins before the picture."""
    if not container.streams.video or stream.start_time is None:
        return 0
    video = container.streams.video[0]
    begins_s = stream.start_time * Fraction(stream.time_base)
    picture_s = (video.start_time or 0) * Fraction(video.time_base)
    return int((begins_s - picture_s) * HZ)
