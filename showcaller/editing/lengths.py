"""Lengths as people write them in words: ``20 min``, ``1 h 20``, ``4'36"``; and which may mean two things.

Nothing heavy is imported here: what is typed into the book is read by it too.
"""

import re
from fractions import Fraction

from showcaller.model.quantities import parse_seconds

DOUBTFUL_BELOW = 30
"""A bare number below this may be minutes or seconds: 4.36 has been written for 4:36 too often."""

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_HOURS = r"(?:h|hrs?|hours?|std|stunden?)\.?"
_MINUTES = r"(?:m|mins?|minutes?|minuten)\.?"
_SECONDS = r"(?:s|secs?|seconds?|sek|sekunden?)\.?"
_UNITS = re.compile(
    rf"(?:{_NUMBER}\s*{_HOURS})?\s*(?:{_NUMBER}\s*{_MINUTES})?\s*(?:{_NUMBER}\s*{_SECONDS})?", re.IGNORECASE
)
# The last unit is often left off: 1 h 20, 4 min 36.
_SHORT = re.compile(rf"(\d+)\s*(?:({_HOURS})|{_MINUTES})\s*(\d{{1,2}})", re.IGNORECASE)
_CLOCK = re.compile(rf"(\d+:\d\d(?::\d\d)?)\s*(?:({_HOURS})|{_MINUTES})", re.IGNORECASE)
_DECADE = re.compile(r"\d+s", re.IGNORECASE)
_DECIMAL = re.compile(r"(\d+)[.,](\d+)")


class CellError(ValueError):
    """What cannot be read; one sentence of what it is and what would do."""

    def __init__(self, reason: str, remedy: str = "") -> None:
        super().__init__(f"{reason}; {remedy}" if remedy else reason)
        self.reason = reason


def length_with_units(text: str) -> Fraction | None:
    """Seconds of a length written with its units; None if it has none or may mean two things."""
    words = text.strip().replace("′", "'").replace("″", '"').replace("''", '"')
    words = words.replace("'", " min ").replace('"', " s ").strip()
    if match := _CLOCK.fullmatch(words):
        seconds = _clock(match.group(1))
        return None if seconds is None else seconds * (60 if match.group(2) and words.count(":") == 1 else 1)
    if match := _SHORT.fullmatch(words):
        first, hours, second = match.groups()
        if int(second) >= 60:
            return None
        return Fraction(int(first) * 60 + int(second)) * (60 if hours else 1)
    match = _UNITS.fullmatch(words)
    if match is None or not any(match.groups()):
        return None
    total = Fraction(0)
    for number, unit in zip(match.groups(), (3600, 60, 1), strict=True):
        if number is None:
            continue
        value = Fraction(number.replace(",", "."))
        if unit > 1 and value * 2 % 1:
            return None  # 4.36 min may be 4:36; a half cannot be taken for anything else
        total += value * unit
    return total


def _clock(text: str) -> Fraction | None:
    try:
        return parse_seconds(text)
    except ValueError:
        return None


def doubtful(text: str) -> CellError | None:
    """The refusal of a decimal that may be minutes or seconds; None if ``text`` is no such decimal."""
    match = _DECIMAL.fullmatch(text.strip())
    if match is None or int(match.group(1)) >= DOUBTFUL_BELOW:
        return None
    minutes, rest = match.groups()
    meant = f"{minutes}:{rest}" if len(rest) == 2 and int(rest) < 60 else "m:ss"
    return CellError(f"{text.strip()} may be minutes or seconds", f"type {meant}")


def name_and_length(words: list[str]) -> tuple[list[str], Fraction | None]:
    """A typed line's words as (those of the name, the length in seconds at its end or None).

    Raises:
        CellError: the last word may be minutes or seconds.
    """
    for count in range(min(6, len(words) - 1), 0, -1):
        tail = " ".join(words[-count:])
        if not tail[0].isdigit() or _DECADE.fullmatch(tail):
            continue  # a name may end in the 90s
        seconds = length_with_units(tail)
        if seconds:
            return words[:-count], seconds
    refusal = doubtful(words[-1]) if len(words) > 1 else None
    if refusal is not None:
        raise refusal
    return words, None
