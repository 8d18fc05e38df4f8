"""Where a run lies in its recording: by timecode, by one tap, or by sound.

The answer is always the same: what the run's clock showed at the recording's first frame (``zero_ns``). A
moment of the run is then on the frame that is on at ``(t_ns − zero_ns)`` after the first.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta, tzinfo
from fractions import Fraction
from math import ceil

import numpy as np
import numpy.typing as npt

from showcaller.review.errors import ReviewError
from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.ltc.decode import LtcDecoder
from showcaller.timing.timecode import frame_number, label, rate_named, seconds_at, wrapped
from showcaller.values import Struct

Samples = npt.NDArray[np.float32]
NEAR_NS = 3 * 3600 * NS
"""A recording begins within this of the run, or its timecode is not the time of day (common practice, no
source)."""

SURE = 1.5
"""The best place of a sound must stand out over the next best by this much to be believed. Chosen on noise
and on music that repeats itself; no source."""


class Alignment(Struct, frozen=True):
    """Found: ``zero_ns``, and in words how; how many parts per million fast the recorder runs, and half the
    95 % interval of that, None where it was not measured."""

    zero_ns: int
    words: str
    drift_ppm: float = 0.0
    drift_error_ppm: float | None = None


def first_frame_s(at_s: Fraction, rate: Fraction) -> Fraction:
    """The middle of the first frame that begins at an instant of the recording or after it, seconds: in the
    frame before, what happened then is not to be seen yet."""
    return (ceil(at_s * rate) + Fraction(1, 2)) / rate


def by_tap(t_ns: int, at_s: Fraction | float) -> Alignment:
    """The frame that is on at ``at_s`` is the moment ``t_ns``: what a person saw and tapped."""
    return Alignment(t_ns - round(Fraction(at_s) * NS), "aligned by one tap")


def by_timecode(timecode: str, rate: str, records: Sequence[Record], zone: tzinfo) -> Alignment:
    """By the code of the recording's first frame: the time of day, or the show's own code as it was heard.

    Args:
        timecode: ``hh:mm:ss:ff`` of the first frame.
        rate: the show's timecode rate.
        records: the run's, with their times of day and the timecode heard.
        zone: the venue's time zone.

    Raises:
        ReviewError: not a timecode of this rate, or one that fits neither.
    """
    try:
        frame = frame_number(timecode, rate)
    except ValueError as error:
        raise ReviewError(f"the recording's timecode cannot be used: {error}") from None
    day_s = seconds_at(frame, rate)
    first = records[0]
    start = datetime.fromtimestamp(first.wall_ns / 1e9, zone)
    midnight = start.replace(hour=0, minute=0, second=0, microsecond=0)
    best: int | None = None
    for days in (-1, 0, 1):
        base = midnight + timedelta(days=days)
        wall_ns = round(base.timestamp()) * NS + round(day_s * NS)
        zero = first.t_ns + wall_ns - first.wall_ns
        if best is None or abs(zero - first.t_ns) < abs(best - first.t_ns):
            best = zero
    assert best is not None
    if -NEAR_NS <= best - first.t_ns <= records[-1].t_ns - first.t_ns:
        return Alignment(best, f"aligned by timecode {timecode}, the time of day")
    heard = next(
        (
            (r.t_ns, str(e.code))
            for r in records
            for e in r.events
            if isinstance(e, ev.TimecodeTold)
            and e.code
            and e.what in ("locked", "followed", "moved", "taken")
        ),
        None,
    )
    if heard is None:
        raise ReviewError(
            f"the recording begins at {timecode}, which is not the time of day of this show, and no "
            "timecode came in; align it by one tap"
        )
    apart = frame_number(heard[1], rate) - frame
    zero = heard[0] - round(seconds_at(wrapped(apart, rate), rate) * NS)
    return Alignment(zero, f"aligned by timecode {timecode}, as it came in")


def first_timecode(samples: Samples, rate: str, sample_rate: int) -> str | None:
    """The timecode at the first sample of a sound track that carries LTC; None if it carries none.

    Args:
        samples: one channel, the first seconds are enough.
    """
    found = code_in(samples, rate, sample_rate)
    if found is None:
        return None
    at_s, code_s = found
    return label(wrapped(round((code_s - Fraction(at_s)) * rate_named(rate).fps), rate), rate)


def code_in(samples: Samples, rate: str, sample_rate: int) -> tuple[float, Fraction] | None:
    """(seconds from the first sample, seconds of the code) where the first frame of LTC begins; None if there
    is none."""
    decoder = LtcDecoder(rate, sample_rate)
    for frame in decoder.feed(samples):
        if not frame.reverse:
            return frame.starts_at / sample_rate, Fraction(frame.frame) / rate_named(rate).fps
    return None


class SoundSearch:
    """Looks for a reference's sound in a recording, stretch by stretch, so that hours fit in memory."""

    def __init__(self, reference: Samples, sample_rate: int) -> None:
        """``reference`` is a stretch of a song's reference, at least a second; ``sample_rate`` is of both.

        Raises:
            ReviewError: too little of it.
        """
        if len(reference) < sample_rate:
            raise ReviewError("there is too little sound to compare; give a few seconds of reference, or tap")
        self._reference = reference
        self._rate = sample_rate
        self._peaks: list[tuple[float, int]] = []

    def look(self, stretch: Samples, first: int) -> None:
        """Look in a stretch whose first sample is the recording's ``first``; stretches overlap by as much as
        the reference is long."""
        if len(stretch) < len(self._reference):
            return
        strength = _likeness(stretch, self._reference)
        guard = self._rate // 5
        for _ in range(2):
            at = int(np.argmax(strength))
            self._peaks.append((float(strength[at]), first + at))
            strength[max(0, at - guard) : at + guard] = 0

    def place(self) -> tuple[float, float]:
        """(seconds into the recording where it lies, how many times over any other place).

        Raises:
            ReviewError: it stands out nowhere.
        """
        self._peaks.sort(reverse=True)
        if not self._peaks:
            raise ReviewError("the recording has too little sound to compare; align it by one tap")
        best, at = self._peaks[0]
        guard = self._rate // 5
        rest = [strength for strength, other in self._peaks[1:] if abs(other - at) > guard]
        next_best = max(rest, default=0.0)
        if best <= 0 or best < SURE * next_best:
            raise ReviewError(
                "the reference's sound does not stand out at one place of the recording; align it by one tap"
            )
        return at / self._rate, best / max(next_best, 1e-12)

    def found(self, reference_ns: int) -> Alignment:
        """Where it lies; ``reference_ns`` is the run's clock where the reference's first sample was played.

        Raises:
            ReviewError: it stands out nowhere.
        """
        at_s, over = self.place()
        zero = reference_ns - round(at_s * NS)
        return Alignment(zero, f"aligned by sound, {over:.1f} times over any other place")


def by_sound(recording: Samples, reference: Samples, sample_rate: int, reference_ns: int) -> Alignment:
    """The same for a recording whose sound is at hand as a whole, from its first frame on.

    Raises:
        ReviewError: too little sound, or none of it stands out.
    """
    search = SoundSearch(reference, sample_rate)
    search.look(recording, 0)
    return search.found(reference_ns)


def _likeness(recording: Samples, reference: Samples) -> npt.NDArray[np.float64]:
    """How like the reference the recording is from every sample on: correlation with the phase alone.

    Knapp and Carter 1976, generalized cross-correlation with phase transform: levels, a hall's echo and what
    is louder than the music count little.
    """
    from scipy import fft  # noqa: PLC0415 - brought in when it is asked for

    size = fft.next_fast_len(len(recording) + len(reference), real=True)
    cross = fft.rfft(recording, size) * np.conj(fft.rfft(reference, size))
    weight = np.abs(cross)
    cross /= np.maximum(weight, weight.max(initial=0.0) * 1e-6 + 1e-20)
    found = fft.irfft(cross, size)[: len(recording) - len(reference) + 1]
    return np.asarray(np.abs(found), dtype=np.float64)
