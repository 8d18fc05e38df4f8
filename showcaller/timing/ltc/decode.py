"""Linear timecode from samples: forwards or backwards, at half to double speed, through noise.

What lies under the code is taken out first, hum of the mains and an offset: the mean over a few bits around
each sample, since the code itself has hardly any over whole bits. Samples are smoothed over a few of them,
edges found where the signal passes from one side of a dead band to the other, the time between edges sorted
into half and whole bits with a length that follows the tape, and the bits searched for the sync word of
either direction. A frame counts only when its parity, figures and flags hold, and it is given out only once
another frame, at the right distance in time, agrees with it: so a frame may be missing, but none is wrong.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from showcaller.timing.ltc.bits import BITS, SYNC, parity_bit, read_bits
from showcaller.timing.timecode import frames_apart, rate_named
from showcaller.values import Struct

_SYNC_BACKWARDS = int(f"{SYNC:016b}"[::-1], 2)
_FASTEST, _SLOWEST = 2.2, 0.45
_UNDER_BITS = 8
"""The mean is taken over so many bits at nominal speed, 4 ms at 25 frames: hum of 50 or 60 Hz keeps 7 to
9 % of itself, and the code loses nothing. A frame is known half of that later."""

_FIRST_LOOK = 200
"""Edges looked at before the bit length is believed: more than a frame and less than two."""


class LtcFrame(Struct, frozen=True):
    """A decoded frame: its number in the day, from and to which sample it lay, and which way the tape ran."""

    frame: int
    starts_at: float
    ends_at: float
    reverse: bool
    user: int


@dataclass(slots=True)
class _Word:
    frame: int
    user: int
    starts_at: float
    ends_at: float
    reverse: bool


class LtcDecoder:
    """Decodes one stream; feed it samples as they come."""

    def __init__(self, rate: str, sample_rate: int = 48_000) -> None:
        """Raises ValueError where linear timecode does not carry ``rate``."""
        parity_bit(rate)
        self._rate = rate
        self._nominal = sample_rate / (BITS * float(rate_named(rate).fps))
        self._smooth = max(1, round(sample_rate / 16_000))
        self._under = self._smooth + 2 * round(self._nominal * _UNDER_BITS / 2)
        self._tail = np.zeros(self._under - 1)
        self._at = -(self._under - 1) / 2
        self._level = 0.0
        self._sign = 0.0
        self._last: tuple[float, float] = (0.0, 0.0)
        self._edges: list[float] = []
        self._bit = 0.0
        self._forget()
        self._previous: _Word | None = None
        self._confirmed = False

    def feed(self, samples: npt.ArrayLike) -> list[LtcFrame]:
        """The frames confirmed by these samples, in time order; positions count from the first sample fed."""
        found: list[LtcFrame] = []
        for edge in self._find_edges(np.asarray(samples, dtype=np.float64)):
            self._edges.append(edge)
            if self._bit == 0.0:
                if len(self._edges) > _FIRST_LOOK:
                    self._measure()
                    edges, self._edges = self._edges, self._edges[:1]
                    for again in edges[1:]:
                        self._edges.append(again)
                        found += self._take_edge()
                continue
            found += self._take_edge()
        return found

    # --- samples to edges ---

    def _find_edges(self, samples: npt.NDArray[np.float64]) -> list[float]:
        if len(samples) == 0:
            return []
        joined = np.concatenate([self._tail, samples])
        self._tail = joined[len(joined) - (self._under - 1) :]
        beside = (self._under - self._smooth) // 2
        middle = joined[beside : len(joined) - beside]
        smooth = np.convolve(middle, np.full(self._smooth, 1 / self._smooth), mode="valid")
        sums = np.concatenate([[0.0], np.cumsum(joined)])
        smooth -= (sums[self._under :] - sums[: -self._under]) / self._under
        loud = float(np.sqrt(np.mean(smooth * smooth)))
        # The level follows the signal over about a tenth of a second, whatever the block's length.
        weight = min(1.0, len(smooth) / (self._nominal * BITS * 3)) if self._level else 1.0
        self._level += weight * (loud - self._level)
        outside = np.flatnonzero(np.abs(smooth) > 0.4 * self._level)
        edges: list[float] = []
        if len(outside):
            values = np.concatenate([[self._last[1]], smooth[outside]])
            places = np.concatenate([[self._last[0]], outside + self._at])
            signs = np.sign(values)
            signs[0] = self._sign
            turned = np.flatnonzero(signs[1:] * signs[:-1] < 0)
            if self._sign == 0.0:
                # The signal's very beginning is taken for an edge, as it is where the code starts here.
                edges.append(float(places[1]))
            rise = values[turned + 1] - values[turned]
            edges += list(places[turned] - values[turned] * (places[turned + 1] - places[turned]) / rise)
            self._sign = float(signs[-1])
            self._last = (float(places[-1]), float(values[-1]))
        self._at += len(smooth)
        return edges

    # --- edges to bits ---

    def _measure(self) -> None:
        """Bit length from the first edges: whole bits are twice as long as halves, and there are both."""
        gaps = np.diff(self._edges)
        gaps = gaps[(gaps > 0.5 * self._nominal / _FASTEST * 0.7) & (gaps < self._nominal / _SLOWEST * 1.3)]
        if len(gaps) < _FIRST_LOOK // 2:
            self._edges = self._edges[_FIRST_LOOK // 2 :]
            return
        short, long = np.quantile(gaps, (0.1, 0.9))
        whole = gaps[gaps > (short + long) / 2]
        self._bit = float(np.median(whole)) if long > 1.5 * short else 0.0
        if self._bit == 0.0:
            self._edges = self._edges[_FIRST_LOOK // 2 :]

    def _forget(self) -> None:
        self._half: float | None = None
        self._word = 0
        self._count = 0
        self._starts: list[float] = []

    def _take_edge(self) -> list[LtcFrame]:
        start, end = self._edges[-2], self._edges[-1]
        del self._edges[:-1]
        gap = end - start
        if not 0.3 * self._bit < gap < 1.4 * self._bit:
            self._forget()
            if gap > 20 * self._bit:
                # The code stopped: it may come back at another speed.
                self._bit = 0.0
                self._previous = None
            return []
        if gap < 0.75 * self._bit:
            self._bit += 0.05 * (2 * gap - self._bit)
            if self._half is None:
                self._half = start
                return []
            start, self._half = self._half, None
            return self._take_bit(1, start, end)
        self._bit += 0.05 * (gap - self._bit)
        if self._half is not None:
            # A half bit without its other half: the phase was wrong.
            self._forget()
            return []
        return self._take_bit(0, start, end)

    # --- bits to frames ---

    def _take_bit(self, bit: int, start: float, end: float) -> list[LtcFrame]:
        # The newest bit is the highest, as bit 79 is in a word read forwards.
        self._word = self._word >> 1 | bit << BITS - 1
        self._starts.append(start)
        if len(self._starts) > BITS:
            del self._starts[0]
        self._count += 1
        if self._count < BITS:
            return []
        if self._word >> 64 == SYNC:
            word, reverse = self._word, False
        elif self._word & 0xFFFF == _SYNC_BACKWARDS:
            word, reverse = int(f"{self._word:080b}"[::-1], 2), True
        else:
            return []
        read = read_bits(word, self._rate)
        if read is None:
            return []
        return self._confirm(_Word(read[0], read[1], self._starts[0], end, reverse))

    def _confirm(self, word: _Word) -> list[LtcFrame]:
        """Give a frame out when the one before it agrees; then also that one, if it waited for this."""
        before, self._previous = self._previous, word
        waited, self._confirmed = self._confirmed, False
        if before is None or before.reverse != word.reverse:
            return []
        length = BITS * self._bit
        passed = round((word.ends_at - before.ends_at) / length)
        way = -passed if word.reverse else passed
        if passed < 1 or passed > 50 or frames_apart(before.frame, word.frame, self._rate) != way:
            return []
        self._confirmed = True
        return [_given(before), _given(word)] if not waited else [_given(word)]


def _given(word: _Word) -> LtcFrame:
    return LtcFrame(word.frame, word.starts_at, word.ends_at, word.reverse, word.user)
