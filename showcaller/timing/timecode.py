"""SMPTE timecode, exactly: labels, frame numbers and seconds in every rate a show meets.

A label ``hh:mm:ss:ff`` names a frame of the day. At the drop-frame rates the first labels of every minute
that is not a multiple of ten are never used (two at 29.97, four at 59.94), so that the labels keep step with
the clock on the wall; no frame is ever dropped (SMPTE ST 12-1). Frames are numbered from 0 at 00:00:00:00.
"""

import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from showcaller.values import Struct

_LABEL = re.compile(r"(\d\d):(\d\d):(\d\d)[:;](\d\d)", re.ASCII)
_MINUTES_A_DAY = 24 * 60


class Rate(Struct, frozen=True):
    """A timecode rate.

    ``fps`` is the true number of frames a second, ``labels`` how many labels a second has, ``dropped`` how
    many labels each minute but every tenth goes without.
    """

    name: str
    fps: Fraction
    labels: int
    dropped: int = 0

    @property
    def frames_per_minute(self) -> int:
        """Frames in a minute that drops labels."""
        return 60 * self.labels - self.dropped

    @property
    def frames_per_ten(self) -> int:
        """Frames in ten minutes of labels."""
        return 600 * self.labels - 9 * self.dropped

    @property
    def frames_per_day(self) -> int:
        """Frames from 00:00:00:00 until the labels come round again."""
        return _MINUTES_A_DAY // 10 * self.frames_per_ten


RATES: Mapping[str, Rate] = MappingProxyType(
    {
        rate.name: rate
        for rate in (
            Rate("23.976", Fraction(24000, 1001), 24),
            Rate("24", Fraction(24), 24),
            Rate("25", Fraction(25), 25),
            Rate("29.97 drop", Fraction(30000, 1001), 30, 2),
            Rate("29.97", Fraction(30000, 1001), 30),
            Rate("30", Fraction(30), 30),
            Rate("50", Fraction(50), 50),
            Rate("59.94 drop", Fraction(60000, 1001), 60, 4),
        )
    }
)
"""Every rate by the name that a show document gives it."""


def rate_named(name: str) -> Rate:
    """The rate of this name; raises ValueError naming the rates there are."""
    try:
        return RATES[name]
    except KeyError:
        raise ValueError(f"no timecode rate '{name}'; give one of {', '.join(RATES)}") from None


def frame_number(label: str, rate: str) -> int:
    """The frame that ``label`` names, from 0 to ``frames_per_day - 1``.

    A semicolon before the frames is read as a colon: the rate alone says whether labels are dropped.

    Raises:
        ValueError: not ``hh:mm:ss:ff``, a part too high for a day or for the rate, or a dropped label.
    """
    r = rate_named(rate)
    found = _LABEL.fullmatch(label)
    if found is None:
        raise ValueError(f"'{label}' is not a timecode; give hh:mm:ss:ff, such as 01:00:00:00")
    hours, minutes, seconds, frames = (int(part) for part in found.groups())
    for value, limit, what in ((hours, 24, "hours"), (minutes, 60, "minutes"), (seconds, 60, "seconds")):
        if value >= limit:
            raise ValueError(f"timecode {label} has {value} {what}; give {what} from 00 to {limit - 1}")
    if frames >= r.labels:
        raise ValueError(
            f"timecode {label} has frame {frames}, too high at {rate}; give frames from 00 to {r.labels - 1}"
        )
    total_minutes = 60 * hours + minutes
    if seconds == 0 and frames < r.dropped and minutes % 10:
        first = f"{hours:02}:{minutes:02}:00;{r.dropped:02}"
        raise ValueError(f"timecode {label} does not exist at {rate}: its label is dropped; give {first}")
    dropped = r.dropped * (total_minutes - total_minutes // 10)
    return (60 * total_minutes + seconds) * r.labels + frames - dropped


def label(frame: int, rate: str) -> str:
    """The label of a frame, which may lie in another day: labels come round every 24 h.

    Drop-frame labels have a semicolon before the frames.
    """
    r = rate_named(rate)
    number = frame % r.frames_per_day
    if r.dropped:
        tens, rest = divmod(number, r.frames_per_ten)
        # The tenth minute keeps all its labels; the nine after it are shorter by the dropped ones.
        short = max(0, rest - r.dropped) // r.frames_per_minute
        number += r.dropped * (9 * tens + short)
    seconds, frames = divmod(number, r.labels)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{seconds:02}{';' if r.dropped else ':'}{frames:02}"


def seconds_at(frame: int, rate: str) -> Fraction:
    """Real seconds from frame 0 to the start of ``frame``."""
    return frame / rate_named(rate).fps


def frame_at(seconds: Fraction, rate: str) -> int:
    """The frame that is running ``seconds`` after the start of frame 0 (the one begun last)."""
    return seconds * rate_named(rate).fps // 1


def seconds_between(start: str, end: str, rate: str) -> Fraction:
    """Real seconds from one label to another of the same day; negative where ``end`` comes first.

    Raises:
        ValueError: as :func:`frame_number`.
    """
    return seconds_at(frame_number(end, rate) - frame_number(start, rate), rate)


def wrapped(frame: int, rate: str) -> int:
    """The frame of the day, 0 to ``frames_per_day - 1``, that has the same label as ``frame``."""
    return frame % rate_named(rate).frames_per_day


def frames_apart(start: int, end: int, rate: str) -> int:
    """Frames from ``start`` to ``end`` the shorter way round midnight: at most half a day either way."""
    day = rate_named(rate).frames_per_day
    apart = (end - start) % day
    return apart - day if apart > day // 2 else apart
