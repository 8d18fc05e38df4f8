"""Any frame of a video file, exactly: the one that is on at an instant, however the file is coded.

An instant belongs to the last frame that begins at or before it. Seeking lands on a key frame and the rest is
decoded; where a file's own index lands too late, the search starts further back. One clip is for one thread.
"""

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import av
import numpy as np
import numpy.typing as npt

from showcaller.outside import Refused, look_at_file
from showcaller.outside.media import OPEN_AS
from showcaller.screen.errors import ClipError
from showcaller.values import Struct

Pixels = npt.NDArray[np.uint8]

AHEAD_S = Fraction(2)
"""An instant this little ahead of the last frame is reached by decoding on, not by seeking."""

_BACK_S = (0, 2, 10, 60, 600)
"""How far before an instant a search begins, one after the other, until its frame is not overshot."""


class ClipFacts(Struct, frozen=True):
    """What a file says of itself. ``timecode`` is of its first frame, ``hh:mm:ss:ff``, if it carries one.

    ``rate`` is frames a second, ``length_s`` seconds of picture; ``frames`` follows from both.
    """

    path: Path
    width: int
    height: int
    rate: Fraction
    length_s: Fraction
    timecode: str | None
    has_sound: bool
    alpha: bool = False

    @property
    def frames(self) -> int:
        """How many frames there are, as far as the file says."""
        return max(1, round(self.length_s * self.rate))


class Shown(Struct, frozen=True):
    """A frame: its number from 0, when it begins (s from the first), its (height, width, RGB) pixels, and how
    much is seen of each (0 to 255), if the file says."""

    index: int
    at_s: Fraction
    pixels: Pixels
    alpha: Pixels | None = None


class Clip:
    """A video file that is open."""

    def __init__(self, path: str | Path) -> None:
        """Open it.

        Raises:
            ClipError: missing, not a video, or not one that can be decoded here.
        """
        self._path = Path(path)
        self._container: Any = None
        self._frames: Iterator[Any] = iter(())
        self._last: Any = None
        self._coming: Any = None
        self._start = 0
        self._made: tuple[Any, Shown] | None = None
        try:
            self._open()
            self._start = self._first()
            self.facts = self._facts()
        except BaseException:
            self.close()
            raise

    def frame_at(self, at_s: Fraction | float) -> Shown:
        """The frame that is on at an instant; the first before it, the last after the end. Its pixels are not
        to be written into: who asks for it again gets the same.

        Raises:
            ClipError: it cannot be decoded.
        """
        wanted = self._start + int(Fraction(at_s) / self._base // 1)
        try:
            return self._shown(self._find(max(self._start, wanted)))
        except av.error.FFmpegError as error:
            where = f"{float(at_s):.2f} s"
            raise ClipError(f"{self._path.name} cannot be decoded at {where} ({_reason(error)})") from None

    def frame(self, index: int) -> Shown:
        """The frame with a number, from 0: asked for in its middle, so that no rounding can miss it."""
        return self.frame_at((Fraction(index) + Fraction(1, 2)) / self.facts.rate)

    def close(self) -> None:
        """Let go of the file."""
        self._frames = iter(())
        if self._container is not None:
            self._container.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _open(self) -> None:
        """Open the file at its very beginning."""
        self.close()
        try:
            look_at_clip(self._path)
            self._container = av.open(str(self._path), options=dict(OPEN_AS), metadata_errors="replace")
        except (av.error.FFmpegError, OSError) as error:
            reason = _reason(error)
            raise ClipError(f"{self._path} cannot be read as a video ({reason}); give a video file") from None
        if not self._container.streams.video:
            raise ClipError(f"{self._path} has no picture in it; give a video file")
        self._stream: Any = self._container.streams.video[0]
        self._stream.thread_type = "AUTO"
        self._base = Fraction(self._stream.time_base)
        self._frames = self._container.decode(self._stream)
        self._last = self._coming = None

    def _find(self, pts: int) -> Any:
        """Decode on from where we are, or seek, until the next frame begins after ``pts``."""
        last = self._last
        near = last is not None and last.pts <= pts < last.pts + AHEAD_S / self._base
        for back_s in (None, *_BACK_S) if near else _BACK_S:
            if back_s is not None:
                self._seek(max(self._start, pts - int(back_s / self._base)))
            if self._run_to(pts):
                return self._last
        # Some files have no index at all and cannot be sought back to their first frame.
        self._open()
        self._run_to(pts)
        if self._last is None:
            raise ClipError(f"{self._path.name} holds no frame that can be decoded")
        return self._last

    def _seek(self, pts: int) -> None:
        self._container.seek(pts, stream=self._stream, backward=True, any_frame=False)
        self._frames = self._container.decode(self._stream)
        self._last = self._coming = None

    def _run_to(self, pts: int) -> bool:
        """Whether the frame that is on at ``pts`` is now the last; False if it was overshot."""
        while True:
            coming = self._coming if self._coming is not None else self._next()
            if coming is None:
                return self._last is not None
            if coming.pts > pts:
                self._coming = coming
                return self._last is not None
            self._last, self._coming = coming, None

    def _next(self) -> Any:
        for frame in self._frames:
            if frame.pts is not None:
                return frame
        return None

    def _first(self) -> int:
        """When the first frame begins, in the stream's own units."""
        try:
            first = self._next()
        except av.error.FFmpegError as error:
            raise ClipError(f"{self._path} cannot be decoded ({_reason(error)})") from None
        if first is None:
            raise ClipError(f"{self._path} holds no frame that can be decoded")
        self._last = first
        return int(first.pts)

    def _facts(self) -> ClipFacts:
        stream = self._stream
        rate = Fraction(stream.average_rate or stream.guessed_rate or 25)
        if stream.duration:
            length_s = stream.duration * self._base
        else:
            length_s = Fraction(self._container.duration or 0, av.time_base)
        tags = [s.metadata for s in self._container.streams] + [self._container.metadata]
        timecode = next((t["timecode"] for t in tags if "timecode" in t), None)
        sound = bool(self._container.streams.audio)
        alpha = any(c.is_alpha for c in self._stream.codec_context.format.components)
        return ClipFacts(self._path, stream.width, stream.height, rate, length_s, timecode, sound, alpha)

    def _shown(self, frame: Any) -> Shown:
        if self._made is not None and self._made[0] is frame:
            return self._made[1]  # asked for by several layers, or oftener than it has frames
        self._made = frame, self._converted(frame)
        return self._made[1]

    def _converted(self, frame: Any) -> Shown:
        at_s = (frame.pts - self._start) * self._base
        index = round(at_s * self.facts.rate)
        if self.facts.alpha:
            whole = frame.to_ndarray(format="rgba")
            return Shown(index, at_s, np.ascontiguousarray(whole[..., :3]), whole[..., 3])
        return Shown(index, at_s, frame.to_ndarray(format="rgb24"))


def look_at_clip(path: Path) -> None:
    """Refuse what would hang or cannot be a clip before anything opens it.

    Raises:
        ClipError: missing, no ordinary file, or empty.
    """
    if not path.exists():
        raise ClipError(f"there is no {path}; check the name, or where the disk is mounted")
    try:
        look_at_file(path, name=str(path))
    except Refused as error:
        raise ClipError(str(error)) from None


def read_sound(
    path: str | Path, rate: int = 16_000, start_s: float = 0.0, length_s: float | None = None
) -> npt.NDArray[np.float32]:
    """A file's sound as one channel of samples from −1 to 1; its first channel, not a mixture.

    Args:
        path: a sound or video file.
        rate: samples a second to give back.
        start_s: where to begin, seconds from the start of its picture, or of its sound if it has none.
        length_s: how much; all of it if not given.

    Raises:
        ClipError: missing, or without sound that can be decoded.
    """
    try:
        look_at_clip(Path(path))
        with av.open(str(path), options=dict(OPEN_AS), metadata_errors="replace") as container:
            if not container.streams.audio:
                raise ClipError(f"{path} has no sound in it")
            return _read_sound(container, rate, start_s, length_s)
    except (av.error.FFmpegError, OSError) as error:
        raise ClipError(f"the sound of {path} cannot be read ({_reason(error)})") from None


def sound_length_s(path: str | Path) -> float:
    """How long a sound or video file is, seconds.

    Raises:
        ClipError: missing, or nothing that can be opened.
    """
    try:
        look_at_clip(Path(path))
        with av.open(str(path), options=dict(OPEN_AS), metadata_errors="replace") as container:
            return float((container.duration or 0) / av.time_base)
    except (av.error.FFmpegError, OSError) as error:
        raise ClipError(f"the sound of {path} cannot be read ({_reason(error)})") from None


def _read_sound(container: Any, rate: int, start_s: float, length_s: float | None) -> npt.NDArray[np.float32]:
    stream = container.streams.audio[0]
    base = Fraction(stream.time_base)
    video = container.streams.video
    zero_s = Fraction(0)
    if video and video[0].start_time is not None:
        zero_s = video[0].start_time * Fraction(video[0].time_base)
    elif stream.start_time is not None:
        zero_s = stream.start_time * base
    begin_s = zero_s + Fraction(start_s)
    if start_s > 0:
        container.seek(max(0, int((begin_s - 1) / base)), stream=stream, backward=True)
    wanted = None if length_s is None else round(length_s * rate)
    parts: list[npt.NDArray[np.float32]] = []
    have, first = 0, None
    for frame in container.decode(stream):
        samples = frame.to_ndarray()
        plane = samples[0] if frame.format.is_planar else samples.reshape(-1, frame.layout.nb_channels)[:, 0]
        if first is None:
            first = Fraction(frame.pts or 0) * base
            source = frame.sample_rate
        parts.append(_unit(plane))
        have += len(plane)
        if wanted is not None and have / source > float(begin_s - first) + float(length_s or 0) + 0.5:
            break
    if first is None:
        raise ClipError(f"{container.name} has no sound that can be decoded")
    whole = np.concatenate(parts)
    at = float(begin_s - first) * source
    count = wanted if wanted is not None else max(0, int((len(whole) - at) * rate / source))
    places = at + np.arange(count) * (source / rate)
    found: npt.NDArray[np.float32] = np.interp(
        places, np.arange(len(whole)), whole, left=0.0, right=0.0
    ).astype(np.float32)
    return found


def _unit(samples: npt.NDArray[Any]) -> npt.NDArray[np.float32]:
    if samples.dtype.kind == "f":
        return samples.astype(np.float32)
    if samples.dtype == np.uint8:
        return ((samples.astype(np.float32) - 128) / 128).astype(np.float32)
    return (samples.astype(np.float32) / float(np.iinfo(samples.dtype).max)).astype(np.float32)


def _reason(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error) or type(error).__name__).lower()
