"""Numbers that decide something, kept exact: seconds as fractions, cue numbers as decimals.

Binary floats would make ``0.1 + 0.2`` a different instant from ``0.3`` and sort 2.10 beside 2.1 by luck.
"""

import re
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from functools import lru_cache
from typing import Annotated, Any

from pydantic_core import CoreSchema, core_schema

_LONGEST_NUMBER = 100
_HUGE = re.compile(r"[eE][+-]?[0_]*[1-9][0-9_]{2,}")
LONGEST_S = 7 * 24 * 3600
"""No length or offset in a show reaches a week; a larger number is a slip of the keyboard."""


def parse_seconds(value: object) -> Fraction:
    """Seconds from ``276``, ``4.6``, ``"4:36"``, ``"1:04:36.5"`` or ``"1/3"``.

    Raises:
        ValueError: not a time, or beyond a week either way.
    """
    seconds = _seconds(value)
    # Compared in whole numbers: a document has tens of thousands of them.
    if abs(seconds.numerator) > LONGEST_S * seconds.denominator:
        raise ValueError(f"{value!r} is longer than a week; give seconds or m:ss")
    return seconds


def _seconds(value: object) -> Fraction:
    if isinstance(value, bool) or value is None:
        raise ValueError(f"{value!r} is not a time; give seconds (276) or m:ss ('4:36')")
    if isinstance(value, Fraction):
        return value
    if isinstance(value, int):
        return Fraction(value)
    if isinstance(value, Decimal):
        return Fraction(value) if value.is_finite() else _not_a_time(value)
    if isinstance(value, float):
        # repr() gives the shortest decimal that a person typed, so 4.6 becomes exactly 23/5.
        return Fraction(repr(value)) if value - value == 0 else _not_a_time(value)
    if isinstance(value, str):
        text = value.strip()
        sign = -1 if text.startswith("-") else 1
        parts = text.removeprefix("-").split(":")
        try:
            numbers = [fraction_of(part) for part in parts]
        except (ValueError, ZeroDivisionError):
            return _not_a_time(value)
        if len(numbers) > 3 or any(n < 0 for n in numbers) or any(n >= 60 for n in numbers[1:]):
            return _not_a_time(value)
        total = Fraction(0)
        for number in numbers:
            total = total * 60 + number
        return sign * total
    return _not_a_time(value)


def fraction_of(text: str) -> Fraction:
    """A number that somebody wrote, exactly: ``4.6``, ``1/3``, ``1e3``.

    Raises:
        ValueError: not a number, or so long that it was not written by hand.
        ZeroDivisionError: divided by nought.
    """
    # ``1e999999999`` is a fraction too, of a thousand million digits: working it out takes for ever.
    if len(text) > _LONGEST_NUMBER or _HUGE.search(text):
        raise ValueError(f"{text[:40]!r} is not a number of a sensible size")
    return Fraction(text)


def _not_a_time(value: object) -> Fraction:
    raise ValueError(f"{value!r} is not a time; give seconds (276) or m:ss ('4:36')")


def _not_negative(value: Fraction) -> Fraction:
    if value.numerator < 0:
        raise ValueError(f"{format_number(value)} is negative; give 0 or more")
    return value


def _above_zero(value: Fraction) -> Fraction:
    if value.numerator <= 0:
        raise ValueError(f"{format_number(value)} is not above zero")
    return value


class _Quantity:
    """How pydantic reads and writes a number: by ``parse``, which is all that decides, and ``write``.

    Said in one go and not as a chain of validators around a type: a model has a hundred such fields, made at
    every start, and a show of ten thousand cues has thirty thousand of them to read. What was read before is
    remembered: such a show has a few dozen different leads and beats. What is written differently is kept
    apart (1, 1.0, True, "1"); what is refused is read every time.
    """

    def __init__(
        self, parse: Callable[[Any], Any], write: Callable[[Any], Any], json_schema: dict[str, Any]
    ) -> None:
        known = lru_cache(maxsize=8192, typed=True)(parse)
        written = (str, int, float)  # not a union: it would be made anew at each of thirty thousand readings

        def read(value: object) -> object:
            return known(value) if isinstance(value, written) else parse(value)

        self._core = core_schema.no_info_plain_validator_function(
            read, serialization=core_schema.plain_serializer_function_ser_schema(write)
        )
        self._json = json_schema

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return self._core.copy()

    def __get_pydantic_json_schema__(self, _schema: Any, _handler: Any) -> dict[str, Any]:
        return self._json.copy()


def format_number(value: Fraction) -> str:
    """A fraction as a short decimal where that is exact, else as ``n/d``."""
    plain = to_json(value)
    return plain if isinstance(plain, str) else f"{plain:g}" if abs(plain) < 1e6 else str(plain)


def to_json(value: Fraction) -> int | float | str:
    """The document's form: a JSON number that reads back as the same fraction, else ``"n/d"``."""
    if value.denominator == 1:
        return value.numerator
    near = float(value)
    return near if Fraction(repr(near)) == value else f"{value.numerator}/{value.denominator}"


_TIME_SCHEMA = {"type": ["number", "string"], "description": 'seconds, or text such as "4:36" or "1/3"'}

Offset = Annotated[Fraction, _Quantity(parse_seconds, to_json, _TIME_SCHEMA)]
"""Seconds, exact; may be negative."""

Seconds = Annotated[Fraction, _Quantity(lambda v: _not_negative(parse_seconds(v)), to_json, _TIME_SCHEMA)]
"""Seconds, exact, zero or more."""

Length = Annotated[Fraction, _Quantity(lambda v: _above_zero(parse_seconds(v)), to_json, _TIME_SCHEMA)]
"""Seconds, exact, above zero."""


def parse_exact(value: object) -> Fraction:
    """A plain number, exactly as written: ``124``, ``92.5``, ``"124/3"``."""
    if isinstance(value, bool) or not isinstance(value, int | float | str | Fraction | Decimal):
        raise ValueError(f"{value!r} is not a number")
    try:
        if isinstance(value, float):
            return Fraction(repr(value))
        return fraction_of(value) if isinstance(value, str) else Fraction(value)
    except (ValueError, ZeroDivisionError, OverflowError):
        raise ValueError(f"{value!r} is not a number") from None


def _bpm(value: object) -> Fraction:
    number = parse_exact(value)
    if not 10 <= number <= 400:
        raise ValueError(f"{format_number(number)} quarter notes a minute is outside 10 to 400")
    return number


_NUMBER_SCHEMA = {"type": ["number", "string"]}

Exact = Annotated[Fraction, _Quantity(parse_exact, to_json, _NUMBER_SCHEMA)]
"""A plain number, exact."""

Beat = Annotated[Fraction, _Quantity(lambda v: _from_one(parse_exact(v)), to_json, _NUMBER_SCHEMA)]
"""A beat in a bar, counted from 1; 2.5 is the 'and' of 2."""

Bpm = Annotated[Fraction, _Quantity(_bpm, to_json, _NUMBER_SCHEMA)]
"""Quarter notes a minute, 10 to 400 (as in Standard MIDI Files, whatever the meter's beat is)."""


def _from_one(value: Fraction) -> Fraction:
    if value.numerator < value.denominator:
        raise ValueError(f"{format_number(value)} is before the first beat; beats count from 1")
    return value


def parse_cue_number(value: object) -> Decimal:
    """A cue number: 1 to 99999 with at most three decimals; 12.50 is 12.5.

    Raises:
        ValueError: not such a number.
    """
    sentence = f"{value!r} is not a cue number; give a number such as 12 or 12.5"
    if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal):
        raise ValueError(sentence)
    try:
        number = Decimal(repr(value) if isinstance(value, float) else value)
    except InvalidOperation:
        raise ValueError(sentence) from None
    if not number.is_finite() or not 0 <= number <= 99999 or number != round(number, 3):
        raise ValueError(f"{value!r} is not a cue number; give 0 to 99999 with up to three decimals")
    return number.quantize(Decimal(1)) if number == number.to_integral_value() else number.normalize()


CueNumber = Annotated[
    Decimal,
    _Quantity(
        parse_cue_number, str, {"type": ["string", "number"], "description": 'a cue number such as "12.5"'}
    ),
]
"""A decimal cue number: 2 comes before 2.5 comes before 10."""
