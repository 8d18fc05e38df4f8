"""Bars and beats to seconds and back, through steps, ramps and meter changes.

Between tempo marks time is exact: at ``b`` quarter notes a minute, ``q`` quarters last ``60 q / b`` seconds.
A ramp changes tempo evenly in *time*: going from ``b0`` to ``b1`` over ``q`` quarters takes
``120 q / (b0 + b1)`` seconds (the area under a straight line), again exact; inside a ramp the position is the
root of a quadratic, rounded to a nanosecond.
"""

from bisect import bisect_right
from fractions import Fraction
from math import isqrt

from showcaller.model.tempo import MeterMark, TempoMark
from showcaller.values import Struct

_NS = 1_000_000_000
_REMEMBERED = 4096
"""Places of which the second is remembered: more than a song has cues."""


class _Meter(Struct, frozen=True):
    bar: int
    quarter: Fraction
    bar_quarters: Fraction
    beat_quarters: Fraction
    beats: int


class _Tempo(Struct, frozen=True):
    quarter: Fraction
    second: Fraction
    bpm: Fraction
    end_bpm: Fraction
    quarters: Fraction | None
    """Length of the segment in quarters; None for the last, which never ends."""
    quarter_s: Fraction
    """How long a quarter lasts at ``bpm``."""
    rate: Fraction
    """Quarters a second at ``bpm``."""

    @classmethod
    def made(
        cls, quarter: Fraction, second: Fraction, bpm: Fraction, end_bpm: Fraction, quarters: Fraction | None
    ) -> "_Tempo":
        return cls(quarter, second, bpm, end_bpm, quarters, 60 / bpm, bpm / 60)

    def seconds_in(self, quarters: Fraction) -> Fraction:
        """Seconds from the segment's start to ``quarters`` into it."""
        if self.quarters is None or self.bpm == self.end_bpm or quarters <= 0:
            return quarters * self.quarter_s
        total_s = 120 * self.quarters / (self.bpm + self.end_bpm)
        if quarters == self.quarters:
            return total_s
        # quarters(t) = (b0 t + (b1 - b0) t² / 2T) / 60, solved for t.
        slope = (self.end_bpm - self.bpm) / total_s
        root = _sqrt(self.bpm * self.bpm + 120 * slope * quarters)
        return 120 * quarters / (self.bpm + root)

    def quarters_in(self, seconds: Fraction) -> Fraction:
        """Quarters from the segment's start to ``seconds`` into it."""
        if self.quarters is None or self.bpm == self.end_bpm or seconds <= 0:
            return seconds * self.rate
        total_s = 120 * self.quarters / (self.bpm + self.end_bpm)
        slope = (self.end_bpm - self.bpm) / total_s
        return (self.bpm * seconds + slope * seconds * seconds / 2) / 60

    def bpm_in(self, seconds: Fraction) -> Fraction:
        if self.bpm == self.end_bpm or self.quarters is None or seconds <= 0:
            return self.bpm
        total_s = 120 * self.quarters / (self.bpm + self.end_bpm)
        return self.bpm + (self.end_bpm - self.bpm) * seconds / total_s


def _sqrt(value: Fraction) -> Fraction:
    """Square root to within a billionth, without going through floats."""
    scale = _NS * _NS
    return Fraction(isqrt(value.numerator * scale // value.denominator), _NS)


class TempoMap:
    """A song's tempo. Seconds count from bar 1 beat 1; bars and beats count from 1.

    Marks may come in any order; the first tempo also holds before its own bar, and the meter is 4/4 until a
    mark says otherwise. Two marks at one place: the later in the document wins.
    """

    def __init__(self, tempo: tuple[TempoMark, ...], meters: tuple[MeterMark, ...] = ()) -> None:
        """Raises ValueError when there is no tempo mark at all."""
        if not tempo:
            raise ValueError("a tempo map needs at least one tempo mark")
        self._meters = _meter_segments(meters)
        self._meter_bars = [m.bar for m in self._meters]
        self._meter_quarters = [m.quarter for m in self._meters]
        self._tempos = self._tempo_segments(tempo)
        self._tempo_quarters = [t.quarter for t in self._tempos]
        self._tempo_seconds = [t.second for t in self._tempos]
        self._known: dict[tuple[int, int, int], Fraction] = {}
        self._steady: tuple[Fraction, Fraction] | None = None
        """How long a bar and a beat last, where neither tempo nor meter ever changes."""
        if len(self._tempos) == len(self._meters) == 1 and self._tempo_quarters == [0]:
            meter, quarter_s = self._meters[0], self._tempos[0].quarter_s
            self._steady = meter.bar_quarters * quarter_s, meter.beat_quarters * quarter_s

    def _tempo_segments(self, tempo: tuple[TempoMark, ...]) -> list[_Tempo]:
        marks = sorted({self.quarters(m.bar, m.beat): m for m in tempo}.items())
        starts = [q for q, _ in marks]
        # Before the first mark its tempo holds, evenly: a ramp that begins there begins there.
        even = marks[0][1].bpm
        segments = [_Tempo.made(Fraction(0), Fraction(0), even, even, starts[0])] if starts[0] > 0 else []
        second = starts[0] * 60 / even
        for i, (_, mark) in enumerate(marks):
            last = i + 1 == len(marks)
            end = marks[i + 1][1].bpm if mark.ramp and not last else mark.bpm
            length = None if last else starts[i + 1] - starts[i]
            segment = _Tempo.made(starts[i], second, mark.bpm, end, length)
            segments.append(segment)
            if length is not None:
                second += segment.seconds_in(length)
        return segments

    def quarters(self, bar: int, beat: Fraction = Fraction(1)) -> Fraction:
        """Quarter notes from bar 1 beat 1 to this bar and beat; the beat may reach past the bar."""
        meter = self._meters[max(0, bisect_right(self._meter_bars, bar) - 1)]
        return meter.quarter + (bar - meter.bar) * meter.bar_quarters + (beat - 1) * meter.beat_quarters

    def seconds_at_quarter(self, quarter: Fraction) -> Fraction:
        """Seconds from bar 1 beat 1 to a place in quarter notes."""
        segment = self._tempos[max(0, bisect_right(self._tempo_quarters, quarter) - 1)]
        return segment.second + segment.seconds_in(quarter - segment.quarter)

    def seconds(self, bar: int, beat: Fraction = Fraction(1)) -> Fraction:
        """Seconds from bar 1 beat 1 to this bar and beat.

        Remembered: after an edit all cues of a song but one are where they were.
        """
        key = (bar, beat.numerator, beat.denominator)  # hashing a fraction takes as long as working it out
        found = self._known.get(key)
        if found is None:
            if len(self._known) >= _REMEMBERED:
                self._known.clear()
            found = self._known[key] = self._seconds(bar, beat)
        return found

    def _seconds(self, bar: int, beat: Fraction) -> Fraction:
        if self._steady is not None:
            bar_s, beat_s = self._steady
            return (bar - 1) * bar_s + (beat - 1) * beat_s
        return self.seconds_at_quarter(self.quarters(bar, beat))

    def bar_starts_s(self, last: int, downbeat_s: Fraction) -> list[float]:
        """The second at which every bar from 1 to ``last`` starts, bar 1 at ``downbeat_s``."""
        if self._steady is not None:
            # A quotient of whole numbers is rounded as the fraction it stands for would be.
            bar_s, below = self._steady[0], downbeat_s.denominator
            step, first = bar_s.numerator * below, downbeat_s.numerator * bar_s.denominator
            below *= bar_s.denominator
            return [(first + n * step) / below for n in range(last)]
        return [float(downbeat_s + self._seconds(bar, Fraction(1))) for bar in range(1, last + 1)]

    def quarter_at(self, seconds: Fraction) -> Fraction:
        """Quarter notes from bar 1 beat 1 that have gone by after ``seconds``."""
        segment = self._tempos[max(0, bisect_right(self._tempo_seconds, seconds) - 1)]
        return segment.quarter + segment.quarters_in(seconds - segment.second)

    def position(self, seconds: Fraction) -> tuple[int, Fraction]:
        """The bar and (fractional) beat at ``seconds``; before the downbeat bars are 0, -1, …"""
        quarter = self.quarter_at(seconds)
        meter = self._meters[max(0, bisect_right(self._meter_quarters, quarter) - 1)]
        bars, rest = divmod(quarter - meter.quarter, meter.bar_quarters)
        return meter.bar + int(bars), 1 + rest / meter.beat_quarters

    def bar_at(self, seconds: Fraction) -> int:
        """The bar of :meth:`position`."""
        if self._steady is not None:
            return 1 + seconds // self._steady[0]
        quarter = self.quarter_at(seconds)
        meter = self._meters[max(0, bisect_right(self._meter_quarters, quarter) - 1)]
        return meter.bar + (quarter - meter.quarter) // meter.bar_quarters

    def after_beats(self, seconds: Fraction, beats: Fraction) -> Fraction:
        """Seconds from bar 1 beat 1, so many beats after ``seconds``, in the beat of the meter there."""
        if self._steady is not None:
            return seconds + beats * self._steady[1]
        quarter = self.quarter_at(seconds)
        meter = self._meters[max(0, bisect_right(self._meter_quarters, quarter) - 1)]
        return self.seconds_at_quarter(quarter + beats * meter.beat_quarters)

    def bpm(self, seconds: Fraction) -> Fraction:
        """Quarter notes a minute at ``seconds``."""
        segment = self._tempos[max(0, bisect_right(self._tempo_seconds, seconds) - 1)]
        return segment.bpm_in(seconds - segment.second)

    def beats_in_bar(self, bar: int) -> int:
        """How many beats the bar has, in its own meter's beat."""
        meter = self._meters[max(0, bisect_right(self._meter_bars, bar) - 1)]
        return meter.beats


def _meter_segments(meters: tuple[MeterMark, ...]) -> list[_Meter]:
    marks = {1: (4, 4)}
    for mark in meters:
        above, below = mark.meter.split("/")
        marks[mark.bar] = (int(above), int(below))
    segments: list[_Meter] = []
    quarter = Fraction(0)
    for bar, (beats, unit) in sorted(marks.items()):
        if segments:
            quarter += (bar - segments[-1].bar) * segments[-1].bar_quarters
        beat = Fraction(4, unit)
        segments.append(_Meter(bar, quarter, beats * beat, beat, beats))
    return segments
