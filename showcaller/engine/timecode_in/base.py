"""What every timecode port posts, and where it posts it."""

from collections.abc import Callable
from fractions import Fraction
from typing import Protocol

from showcaller.run.compiled import to_ns
from showcaller.timing.timecode import rate_named
from showcaller.values import Struct


class Heard(Struct, frozen=True):
    """The code was at ``position_ns`` from midnight at ``at_ns`` of the machine's monotonic clock.

    ``whole`` is False between the starts of frames.
    """

    position_ns: int
    at_ns: int
    whole: bool = True


Post = Callable[[Heard], None]
"""Takes what was heard; may be called from any thread."""


class TimecodePort(Protocol):
    """A place where timecode is heard."""

    def close(self) -> None:
        """Let go of the device."""


def position_ns(frames: Fraction | int, rate: str) -> int:
    """So many frames from midnight, in ns."""
    return to_ns(frames / rate_named(rate).fps)
