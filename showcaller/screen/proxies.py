"""Small pictures of a long recording, for dragging through it: made once, kept in a folder with a limit.

A frame between two key frames of a camera's file may need hundreds before it decoded. The small pictures are
the key frames alone, each a picture by itself in a file beside: any of them is there at once.
"""

import contextlib
import hashlib
import os
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import av

from showcaller.outside.media import OPEN_AS
from showcaller.screen.clips import look_at_clip
from showcaller.screen.errors import ClipError

WIDTH_PX = 480
LIMIT_BYTES = 500_000_000
"""All of them together; the ones longest not looked at go first."""
LEAST_S = 0.5
"""A file of which every frame is a key frame needs no more than two a second."""
_BASE = Fraction(1, 1000)


def kept_proxies(recording: Path, folder: Path) -> Path | None:
    """The file of a recording's small pictures, if it was made; it counts as looked at now."""
    path = _place(recording, folder)
    if not path.exists():
        return None
    with contextlib.suppress(OSError):
        os.utime(path)
    return path


def make_proxies(
    recording: Path, folder: Path, told: Callable[[float], bool], limit_bytes: int = LIMIT_BYTES
) -> Path | None:
    """Make them, and make room for them; the file of them, None if it was stopped. It has its name once it is
    whole.

    Args:
        told: told what share is done, 0 to 1; False stops.

    Raises:
        ClipError: it cannot be decoded, or the folder not be written.
    """
    there = kept_proxies(recording, folder)
    if there is not None:
        return there
    path = _place(recording, folder)
    making = path.with_name(f"{path.stem}.{os.getpid()}.part.mkv")
    try:
        look_at_clip(recording)
        folder.mkdir(parents=True, exist_ok=True)
        if not _write(recording, making, told):
            return None
        making.replace(path)
    except (av.error.FFmpegError, OSError) as error:
        raise ClipError(f"small pictures of {recording.name} cannot be made ({error})") from None
    finally:
        making.unlink(missing_ok=True)
    make_room(folder, limit_bytes, path)
    return path


def make_room(folder: Path, limit_bytes: int, keep: Path) -> None:
    """Take out what was looked at longest ago until the rest is within the limit; never ``keep``."""
    found = sorted((p for p in folder.glob("*.mkv") if p != keep), key=lambda p: p.stat().st_mtime)
    whole = sum(p.stat().st_size for p in [*found, keep])
    for path in found:
        if whole <= limit_bytes:
            return
        whole -= path.stat().st_size
        with contextlib.suppress(OSError):
            path.unlink()


def _place(recording: Path, folder: Path) -> Path:
    """By what the file is: another file, or a longer one, of that name has others."""
    try:
        facts = recording.stat()
    except OSError:
        raise ClipError(f"there is no {recording}; check the name, or where the disk is mounted") from None
    text = f"{recording.resolve()} {facts.st_size} {facts.st_mtime_ns} {WIDTH_PX}"
    return folder / f"{hashlib.sha256(text.encode()).hexdigest()[:24]}.mkv"


def _write(recording: Path, to: Path, told: Callable[[float], bool]) -> bool:
    """Whether it was gone through to its end."""
    with av.open(str(recording), options=dict(OPEN_AS), metadata_errors="replace") as source:
        if not source.streams.video:
            raise ClipError(f"{recording.name} has no picture in it")
        stream: Any = source.streams.video[0]
        stream.thread_type = "AUTO"
        stream.codec_context.skip_frame = "NONKEY"
        base = Fraction(stream.time_base)
        length_s = float(source.duration or 0) / av.time_base
        with av.open(str(to), "w") as made:
            small: Any = made.add_stream("mjpeg", rate=1000)
            small.width, small.height = WIDTH_PX, _even(WIDTH_PX * stream.height / max(1, stream.width))
            small.pix_fmt, small.codec_context.time_base = "yuvj420p", _BASE
            small.codec_context.qmin = small.codec_context.qmax = 6
            first: Fraction | None = None
            last_s = -1.0
            for frame in source.decode(stream):
                if frame.pts is None:
                    continue
                first = frame.pts * base if first is None else first
                at_s = float(frame.pts * base - first)
                if at_s - last_s < LEAST_S:
                    continue
                last_s = at_s
                if not told(min(1.0, at_s / length_s) if length_s else 0.0):
                    return False
                picture = frame.reformat(width=small.width, height=small.height, format="yuvj420p")
                picture.pts, picture.time_base = round(at_s / _BASE), _BASE
                made.mux(small.encode(picture))
            made.mux(small.encode())
    return True


def _even(height: float) -> int:
    return max(2, round(height / 2) * 2)
