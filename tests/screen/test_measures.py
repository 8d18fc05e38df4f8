"""Metres, feet and inches: typed, shown, typed again."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from showcaller.screen.measures import FOOT_M, INCH_M, MeasureError, length_text, lengths

ANY = ("length", -1e6, 1e6)


def test_the_foot_and_the_inch_are_those_of_the_standard() -> None:
    """NIST Special Publication 811 (2008), B.8: foot 3.048 E-01 m, inch 2.54 E-02 m; SciPy has the same."""
    assert pytest.approx((3.048e-01, 2.54e-02), abs=0) == (FOOT_M, INCH_M)
    assert pytest.approx((constants.foot, constants.inch)) == (FOOT_M, INCH_M)


@pytest.mark.parametrize(
    ("typed", "unit", "metres"),
    [
        ("172 ft x 62 ft", "m", [52.4256, 18.8976]), ("172 x 62 ft", "m", [52.4256, 18.8976]),
        ("172 x 62", "ft", [52.4256, 18.8976]), ("8'6\"", "m", [2.5908]), ("8'6", "m", [2.5908]),
        ("8 ft 6 in", "m", [2.5908]), ("8′ 6 1/2″", "m", [2.6035]), ("6\"", "m", [0.1524]),
        ("42 × 10.5 m", "ft", [42, 10.5]),
        ("25.95, 2.42", "m", [25.95, 2.42]), ("8,5 x 5,1", "m", [8.5, 5.1]), ("-2 m, 3'", "m", [-2, 0.9144]),
        ("-8'6\", 0", "ft", [-2.5908, 0]), ("850 cm by 12 mm", "m", [8.5, 0.012]),
        ("3 ft 2 ft", "m", [0.9144, 0.6096]),
    ],
)  # fmt: skip
def test_what_is_typed_is_understood(typed: str, unit: str, metres: list[float]) -> None:
    assert lengths(typed, unit, "a length", [ANY] * len(metres)) == pytest.approx(metres, abs=1e-4)  # type: ignore[arg-type]


@pytest.mark.parametrize("typed", ["", "wide", "8 foo", "8'6\" x", "1/0 in", "1 x 2 x 3", '8 6 ft 1/0"'])
def test_what_means_nothing_is_refused_in_a_sentence(typed: str) -> None:
    with pytest.raises(MeasureError, match=r"^the size: .*type 8.5 m, 172 ft or"):
        lengths(typed, "m", "the size", [ANY] * 2)


def test_a_length_that_cannot_be_is_named_with_what_can() -> None:
    within = (("width", 0.01, 1000.0), ("height", 0.01, 1000.0))
    with pytest.raises(MeasureError, match=r"^size: height is 0.01 m to 1000 m; not -3 m$"):
        lengths("42 x -3 m", "m", "size", within)
    with pytest.raises(MeasureError, match=r"^size: 'apples' is no length; type"):
        lengths("42 apples x 10", "m", "size", within)
    with pytest.raises(MeasureError, match=r"^size: height missing; type"):
        lengths("42 m", "m", "size", within)


@given(st.floats(min_value=-900, max_value=900), st.sampled_from(["m", "ft"]))
def test_what_is_shown_can_be_typed_again(metres: float, unit: str) -> None:
    # To the millimetre, or to the hundredth of an inch.
    (again,) = lengths(length_text(metres, unit), unit, "a length", [ANY])  # type: ignore[arg-type]
    assert again == pytest.approx(metres, abs=0.0006)
