"""SMPTE timecode, exactly: frames, labels and seconds in every rate a show meets."""

from fractions import Fraction


def seconds_between(start: str, end: str, rate: str) -> Fraction:
    """Real seconds from one timecode label to another. To be replaced by the full timecode module."""
    raise NotImplementedError(start + end + rate)
