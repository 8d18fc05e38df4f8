"""Linear timecode to samples: biphase mark, with the edges of a real signal."""

import numpy as np
import numpy.typing as npt

from showcaller.timing.ltc.bits import BITS, frame_bits
from showcaller.timing.timecode import rate_named

Samples = npt.NDArray[np.float32]

_RISE_S = 40e-6
"""Rise time of an edge; ST 12-1 asks for 40 µs (from memory)."""


def encode(
    first: int,
    count: int,
    rate: str,
    sample_rate: int = 48_000,
    *,
    speed: float = 1.0,
    reverse: bool = False,
    level: float = 0.5,
    user: int = 0,
) -> Samples:
    """``count`` frames from frame ``first`` on as float32 samples in [-level, level].

    ``speed`` is that of the tape, 0.5 for half. ``reverse`` plays backwards: ``first``, ``first - 1``, …

    Raises:
        ValueError: no frames, a speed or level out of range, or a rate that linear timecode does not carry.
    """
    if count < 1:
        raise ValueError(f"{count} frames cannot be encoded; give 1 or more")
    if not 0.05 <= speed <= 20:
        raise ValueError(f"speed {speed} is out of range; give 0.05 to 20")
    if not 0 < level <= 1:
        raise ValueError(f"level {level} is out of range; give above 0 to 1")
    start = first - count + 1 if reverse else first
    bits = np.array(
        [
            word >> n & 1
            for word in (frame_bits(start + f, rate, user) for f in range(count))
            for n in range(BITS)
        ]
    )
    # An edge at the start of every bit, and one in the middle of every 1.
    edges = np.sort(np.concatenate([np.arange(len(bits) + 1), np.flatnonzero(bits) + 0.5]))
    bit_samples = sample_rate / (BITS * float(rate_named(rate).fps) * speed)
    edges *= bit_samples
    samples = _square(edges, int(np.ceil(len(bits) * bit_samples)), sample_rate * _RISE_S) * np.float32(level)
    return samples[::-1].copy() if reverse else samples


def _square(edges: npt.NDArray[np.float64], count: int, rise: float) -> Samples:
    """A square wave that turns at ``edges`` (in samples), each edge ``rise`` samples long; shape (count,).

    Every sample is the mean of the ideal wave over ``rise``, from its integral, so that edges keep their
    place between samples.
    """
    signs = np.where(np.arange(len(edges) - 1) % 2 == 0, 1.0, -1.0)
    integral = np.concatenate([[0.0], np.cumsum(np.diff(edges) * signs)])
    at = np.arange(count)
    after = np.interp(at + rise / 2, edges, integral)
    before = np.interp(at - rise / 2, edges, integral)
    return np.asarray((after - before) / rise, dtype=np.float32)
