"""A song's reference file: how long it is, and how loud along the way; read in a process of its own."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from showcaller.outside import Limits, Refused, Stopped, Within
from showcaller.outside.asking import ask
from showcaller.outside.limits import Tell
from showcaller.outside.media import OPEN_AS, allowed_file

PEAKS_PER_S = 20
PROBING = Limits(time_s=10.0)
LISTENING = Limits(time_s=180.0)
LONGEST_S = 12 * 3600
"""Peaks are made of so much sound at the most."""
MOST_SAMPLES_PER_S = 1_000_000
"""Beyond any recorder's; to make a filter for the hundred million of a damaged file takes seconds."""


class MediaError(ValueError):
    """A file that cannot be used; one sentence."""


def length_of(
    folder: Path | None,
    name: str,
    allowed: tuple[Path, ...] = (),
    seen: Tell = lambda _what, _done, _of: None,
    stop: Callable[[], bool] = lambda: False,
) -> Fraction:
    """Seconds the file ``name`` beside a show in ``folder`` lasts, to the millisecond; waits for a process.

    Raises:
        MediaError: missing, elsewhere than allowed, not a media file, or of no known length.
        Stopped: ``stop`` said so.
    """
    if folder is None:
        raise MediaError(f"reference: there is no file '{name}' beside the show; save the show first")
    try:
        path = allowed_file(name, folder, allowed)
        reader = "showcaller.editing.media:probe"
        found = ask(reader, str(path), name, name=name, limits=PROBING, seen=seen, stop=stop)
        return Fraction(int(found), 1000)
    except Stopped:
        raise
    except Refused as error:
        raise MediaError(f"reference: {error}") from None


def peaks_of(path: Path, stop: Callable[[], bool] = lambda: False) -> tuple[tuple[float, float], ...]:
    """(second, loudest sample from 0 to 1) along a file's first sound track; empty if it has none.

    It waits for a process.

    Raises:
        MediaError: it cannot be read.
    """
    try:
        reader = "showcaller.editing.media:listen"
        found = ask(reader, str(path), name=path.name, limits=LISTENING, stop=stop)
    except Refused as error:
        raise MediaError(str(error)) from None
    return tuple((n / PEAKS_PER_S, float(value)) for n, value in enumerate(found))


def probe(_within: Within, path: str, name: str) -> int:
    """The child's part of :func:`length_of`: milliseconds."""
    import av  # noqa: PLC0415 - only the child needs it

    try:
        with av.open(path, options=dict(OPEN_AS), metadata_errors="replace") as container:
            length_ms = round((container.duration or 0) / 1000)
            stream = container.streams[0]
            if length_ms <= 0 and stream.duration and stream.time_base:
                length_ms = round(stream.duration * stream.time_base * 1000)
            if length_ms > 0:
                return length_ms
    except (av.FFmpegError, OSError, IndexError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Refused(f"'{name}' cannot be read as audio or video ({reason})") from None
    raise Refused(f"'{name}' does not say how long it is; type the length by hand")


def _look_at_rate(rate: int, name: str) -> None:
    if rate > MOST_SAMPLES_PER_S:
        raise Refused(
            f"{name} says that it has {rate:,} samples a second; {MOST_SAMPLES_PER_S:,} are the limit: "
            "write it again"
        )


def listen(within: Within, path: str) -> list[float]:
    """The child's part of :func:`peaks_of`: the loudest of each twentieth of a second."""
    import av  # noqa: PLC0415 - only the child needs it
    import numpy as np  # noqa: PLC0415 - as above

    found: list[float] = []
    name = Path(path).name
    try:
        with av.open(path, options=dict(OPEN_AS), metadata_errors="replace") as container:
            if not container.streams.audio:
                return []
            resampler: Any = None
            before = None
            rest = np.zeros(0, dtype=np.float32)
            block = 8000 // PEAKS_PER_S
            for frame in container.decode(audio=0):
                _look_at_rate(frame.sample_rate, name)
                within.tell(f"listening to {name}", len(found) // PEAKS_PER_S, 0)
                like = frame.sample_rate, frame.layout.name, frame.format.name
                if like != before:  # two recordings in one file need not be alike
                    # 8 kHz mono is plenty to draw by.
                    resampler, before = av.AudioResampler(format="flt", layout="mono", rate=8000), like
                for part in resampler.resample(frame):
                    rest = np.concatenate([rest, part.to_ndarray().ravel()])
                whole = len(rest) // block
                if whole:
                    blocks = np.nan_to_num(
                        rest[: whole * block].reshape(whole, block), posinf=0.0, neginf=0.0
                    )
                    found += np.abs(blocks).max(axis=1).tolist()
                    rest = rest[whole * block :]
                if len(found) > LONGEST_S * PEAKS_PER_S:
                    raise Refused(f"{name} lasts longer than {LONGEST_S // 3600} hours, which is the limit")
    except (av.FFmpegError, OSError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise Refused(f"{name} cannot be read as audio ({reason})") from None
    top = max(found, default=0.0) or 1.0
    return [value / top for value in found]
