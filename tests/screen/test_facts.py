"""Figures of a wall beside handbook values."""

import pytest
from walls import make_wall

from showcaller.screen.facts import (
    contrast_ratio,
    facts_of,
    leg_current_a,
    letter_height_m,
    power_w,
    viewing_distance_m,
)

FULL = {
    "back_row_m": 120.0, "white_cd_m2": 1500.0, "ambient_cd_m2": 3.0, "black_w_m2": 60.0, "white_w_m2": 560.0,
}  # fmt: skip


def test_one_arc_minute_is_3438_metres_a_millimetre() -> None:
    # 1 / (2 tan(½′)) = 3437.7, computed; the usual 3.438 m for each mm of pitch.
    assert viewing_distance_m(1) == pytest.approx(3.438, abs=0.0005)
    assert viewing_distance_m(12) == pytest.approx(12 * 3.43775, rel=1e-5)


@pytest.mark.parametrize(
    ("watts", "volts", "factor", "amperes"),
    # √3 · V · I · pf, computed the other way round with the standard formula.
    [(21061.7, 400, 0.95, 32), (43647.7, 400, 1.0, 63), (36026.7, 208, 1.0, 100)],
)
def test_three_phase_current(watts: float, volts: float, factor: float, amperes: float) -> None:
    assert leg_current_a(watts, volts, factor) == pytest.approx(amperes, rel=1e-5)


def test_a_letter_of_20_20_sight_at_six_metres_is_87_millimetres_tenths() -> None:
    # A Snellen chart's 20/20 line at 20 ft (6 m): letters of 8.7 to 8.9 mm (optometry texts, from memory).
    assert letter_height_m(6.096, 5, 0.01) * 1000 == pytest.approx(8.87, abs=0.01)
    assert letter_height_m(1, 5, 10) == pytest.approx(0.07)  # never less than seven pixels


def test_contrast() -> None:
    assert contrast_ratio(1000, 0, 1) == pytest.approx(1001)
    assert contrast_ratio(1, 0, 0.05) == pytest.approx(21)  # the shape of WCAG's ratio: (1 + .05) / .05


def test_power_by_content_level() -> None:
    wall = make_wall([2000, 2000], 1000, **FULL)  # 400 m²
    assert power_w(wall, 0) == pytest.approx(400 * 60)
    assert power_w(wall, 1) == pytest.approx(400 * 560)
    assert power_w(wall, 0.3) == pytest.approx(400 * 210)
    assert power_w(make_wall([10]), 1) is None


def test_every_fact_says_where_it_comes_from_and_power_who_decides() -> None:
    found = facts_of(make_wall([2000, 2000], 1000, **FULL), level=0.2)
    assert all(f.formula and f.source for f in found)
    power = [f for f in found if f.name.startswith("power")]
    assert [f.name for f in power] == [
        "power now, 20 %",
        "power at 50 % white",
        "power at 100 % white",
    ]
    assert all("licensed electrician" in f.caution for f in power)
    assert all(f.value is not None for f in found)


def test_what_is_not_given_is_asked_for_by_its_field() -> None:
    missing = [f.text for f in facts_of(make_wall([2000])) if f.value is None]
    assert missing[:2] == ["give the distance of the back row, m", "give the wall's peak white, cd/m²"]
    assert set(missing[2:]) == {"give the wall's power at full white, W/m²"}
