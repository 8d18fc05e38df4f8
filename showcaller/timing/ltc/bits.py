"""One frame of linear timecode as 80 bits, and back (SMPTE ST 12-1).

Bit 0 is sent first; numbers are BCD, low bit first. A frame is an int here whose bit n is bit n of the word.
"""

from showcaller.timing.timecode import RATES, frame_number, label, rate_named

SYNC = 0xBFFC
"""Bits 64 to 79, sent 0011 1111 1111 1101."""

BITS = 80

# (first bit, bits) of each figure, from frame units to hour tens.
_FIGURES = ((0, 4), (8, 2), (16, 4), (24, 3), (32, 4), (40, 3), (48, 4), (56, 2))
_DROP, _COLOUR = 10, 11
_USER = (4, 12, 20, 28, 36, 44, 52, 60)


def parity_bit(rate: str) -> int:
    """The bit that keeps the number of ones even: 59 at 25 frames a second, else 27.

    Raises:
        ValueError: linear timecode does not carry this rate.
    """
    if rate_named(rate).labels > 30:
        slow = ", ".join(name for name in RATES if RATES[name].labels <= 30)
        raise ValueError(f"linear timecode carries at most 30 frames a second, not {rate}; use one of {slow}")
    return 59 if rate == "25" else 27


def frame_bits(frame: int, rate: str, user: int = 0) -> int:
    """The 80 bits of a frame of the day; ``user`` holds the eight user groups, the first lowest (32 bits).

    Raises:
        ValueError: the rate is above 30, or ``user`` does not fit.
    """
    parity = parity_bit(rate)
    if not 0 <= user < 1 << 32:
        raise ValueError(f"user bits {user} do not fit; give 0 to {(1 << 32) - 1}")
    figures = [int(figure) for figure in reversed(label(frame, rate).replace(";", "").replace(":", ""))]
    word = SYNC << 64
    for (first, _), figure in zip(_FIGURES, figures, strict=True):
        word |= figure << first
    for group, first in enumerate(_USER):
        word |= (user >> 4 * group & 15) << first
    if rate_named(rate).dropped:
        word |= 1 << _DROP
    return word | (word.bit_count() & 1) << parity


def read_bits(word: int, rate: str) -> tuple[int, int] | None:
    """(frame, user bits) of an 80-bit word; None where sync, parity, drop flag or a figure is wrong."""
    if word >> 64 != SYNC or word.bit_count() & 1:
        return None
    if bool(word >> _DROP & 1) != bool(rate_named(rate).dropped):
        return None
    figures = [word >> first & (1 << count) - 1 for first, count in _FIGURES]
    if max(figures) > 9:
        return None
    text = "".join(str(figure) for figure in reversed(figures))
    try:
        frame = frame_number(":".join((text[:2], text[2:4], text[4:6], text[6:])), rate)
    except ValueError:
        return None
    user = sum((word >> first & 15) << 4 * group for group, first in enumerate(_USER))
    return frame, user
