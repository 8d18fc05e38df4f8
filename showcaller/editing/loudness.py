"""How loud a file's sound is: integrated loudness by EBU R 128 and ITU-R BS.1770; in a process of its own."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from showcaller.outside import Limits, Refused, Within
from showcaller.outside.asking import ask
from showcaller.outside.media import OPEN_AS, allowed_file

LISTENING = Limits(time_s=180.0)
SILENT_LUFS = -70.0
"""The absolute gate of BS.1770: nothing below it is counted, so that it stands for silence."""
MOST_LUFS = 20.0
RATE_HZ = 48_000


def loudness_of(
    name: str, folder: Path | None, allowed: tuple[Path, ...] = (), stop: Callable[[], bool] = lambda: False
) -> float:
    """Integrated loudness of a file's first sound track, LUFS to a tenth; waits for a process.

    Raises:
        Refused: missing, elsewhere than allowed, without sound, or damaged; one sentence.
        Stopped: ``stop`` said so.
    """
    path = allowed_file(name, folder, allowed)
    found = ask(
        "showcaller.editing.loudness:measure", str(path), name, name=name, limits=LISTENING, stop=stop
    )
    if not isinstance(found, int | float) or not SILENT_LUFS <= found <= MOST_LUFS:
        raise Refused(f"{name} gives no loudness that can be; write it again")
    return round(float(found), 1)


def measure(within: Within, path: str, name: str) -> float:
    """The child's part of :func:`loudness_of`: FFmpeg's ``ebur128`` over the whole of it, nothing kept."""
    import av  # noqa: PLC0415 - only the child needs it

    found, meter = SILENT_LUFS, None
    try:
        with av.open(path, options=dict(OPEN_AS), metadata_errors="replace") as container:
            if not container.streams.audio:
                raise Refused(f"{name} has no sound")
            for frame in container.decode(audio=0):
                meter = meter or _Meter(frame.layout.name)
                within.tell(f"listening to {name}", int(frame.time or 0), 0)
                found = meter.heard(frame, found)
            found = found if meter is None else meter.heard(None, found)
    except (av.FFmpegError, OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise Refused(f"the sound of {name} cannot be read ({reason}); write it again") from None
    return found


class _Meter:
    """FFmpeg's meter behind a resampler: two recordings in one file need not be alike."""

    def __init__(self, layout: str) -> None:
        import av  # noqa: PLC0415 - only the child needs it

        self._none_yet = av.error.BlockingIOError, av.error.EOFError
        self._resampler = av.AudioResampler(format="fltp", layout=layout, rate=RATE_HZ)
        self._graph = av.filter.Graph()
        base = Fraction(1, RATE_HZ)
        source = self._graph.add_abuffer(sample_rate=RATE_HZ, format="fltp", layout=layout, time_base=base)
        meter, sink = self._graph.add("ebur128", "metadata=1:framelog=quiet"), self._graph.add("abuffersink")
        source.link_to(meter)
        meter.link_to(sink)
        self._graph.configure()

    def heard(self, frame: Any, before: float) -> float:
        """The integrated loudness so far; None is the end. Every tenth of a second there is another."""
        for part in self._resampler.resample(frame):
            part.pts = None
            self._graph.push(part)
            before = self._newest(before)
        return before

    def _newest(self, before: float) -> float:
        while True:
            try:
                told = self._graph.pull().metadata.get("lavfi.r128.I")
            except self._none_yet:
                return before
            if told is not None and told != "nan":
                before = max(SILENT_LUFS, min(MOST_LUFS, float(told)))
