"""Seconds as fractions, cue numbers as decimals: exact in, exact out."""

import json
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.model.quantities import parse_cue_number, parse_exact, parse_seconds, to_json


@pytest.mark.parametrize(
    ("given_", "seconds"),
    [
        (276, 276), (4.6, Fraction(23, 5)), ("4:36", 276), ("1:04:36.5", Fraction(7753, 2)),
        ("1/3", Fraction(1, 3)),
        ("-0:30", -30), (" 12 ", 12), (Decimal("0.1"), Fraction(1, 10)), (0.1, Fraction(1, 10)),
    ],
)  # fmt: skip
def test_seconds_are_what_a_person_meant(given_: object, seconds: Fraction | int) -> None:
    assert parse_seconds(given_) == seconds


@pytest.mark.parametrize(
    "given_",
    [
        "",
        "soon",
        "4:60",
        "1:2:3:4",
        "4:-3",
        "1/0",
        None,
        True,
        float("nan"),
        float("inf"),
        Decimal("NaN"),
        [],
        {},
    ],
)
def test_what_is_no_time_is_refused_with_what_would_do(given_: object) -> None:
    with pytest.raises(ValueError, match=r"is not a time; give seconds \(276\) or m:ss \('4:36'\)"):
        parse_seconds(given_)


@given(st.integers(0, 600_000))
def test_clock_text_agrees_with_the_standard_library(total: int) -> None:
    """``str(timedelta)`` writes h:mm:ss; below a day it reads back as the same seconds."""
    if total < 86_400:
        assert parse_seconds(str(timedelta(seconds=total))) == total


@given(st.fractions(-604_800, 604_800))
def test_any_fraction_survives_the_document(value: Fraction) -> None:
    assert parse_seconds(json.loads(json.dumps(to_json(value)))) == value


@given(st.floats(-604_800, 604_800))
def test_any_decimal_a_person_types_is_kept_exactly(value: float) -> None:
    assert parse_seconds(value) == Fraction(repr(value))
    assert parse_exact(value) == Fraction(repr(value))


def test_cue_numbers_rise_as_people_count_them() -> None:
    numbers = [parse_cue_number(n) for n in ("10", "2", 2.5, "2.10", "2.1e0", 1)]
    assert [str(n) for n in sorted(set(numbers))] == ["1", "2", "2.1", "2.5", "10"]
    assert parse_cue_number("12.50") == parse_cue_number(12.5)
    assert str(parse_cue_number("100")) == "100"  # and not 1E+2, as Decimal.normalize has it
    assert str(parse_cue_number("1e2")) == "100"


@given(st.decimals(0, 99_999, places=3))
def test_any_cue_number_reads_back_from_its_text(value: Decimal) -> None:
    number = parse_cue_number(value)
    assert number == value
    assert parse_cue_number(str(number)) == number
    assert str(parse_cue_number(str(number))) == str(number)
    assert "E" not in str(number)


@pytest.mark.parametrize(
    "given_", ["", "12a", -1, 100000, "1.2345", True, None, "NaN", "Infinity", float("inf")]
)
def test_what_is_no_cue_number_is_refused(given_: object) -> None:
    with pytest.raises(ValueError, match="is not a cue number; give"):
        parse_cue_number(given_)
