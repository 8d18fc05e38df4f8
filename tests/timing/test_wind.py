"""The wind estimate against published pressures and a worked lever."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.timing.wind import (
    Factors,
    SetPiece,
    estimate_m_s,
    overturning_share,
    parse_speed_m_s,
    pressure_n_m2,
    pressure_psf,
)

SOME = st.floats(0.1, 500)


# ASCE 7 §26.10: q = 0.613 V² N/m²; its values at 10, 20 and 25 m/s.
@pytest.mark.parametrize(("speed", "pressure"), [(10, 61.3), (20, 245.2), (25, 383.1)])
def test_pressure(speed, pressure):
    assert pressure_n_m2(speed) == pytest.approx(pressure, abs=0.05)


def test_a_lever_worked_by_hand():
    # 10 m² at 2 m, drag 1.3, 20 m/s: 245.2 × 1.3 × 10 × 2 = 6,375 N·m; 1,000 kg on 2 m hold 9,807 N·m.
    piece = SetPiece(10, 1000, 2, 2)
    assert overturning_share(piece, 20) == pytest.approx(6375.2 / 9806.65, rel=1e-4)
    assert estimate_m_s(piece) == pytest.approx(20 * (9806.65 / 6375.2 / 1.5) ** 0.5, rel=1e-4)


@given(SOME, SOME, SOME, SOME, st.floats(1, 4))
def test_at_the_estimate_the_moment_times_the_safety_factor_is_what_holds(area, mass, arm, base, safety):
    piece = SetPiece(area, mass, arm, base)
    assert overturning_share(piece, estimate_m_s(piece, safety)) * safety == pytest.approx(1)


def test_what_makes_no_sense_is_a_sentence():
    with pytest.raises(ValueError, match=r"mass_kg is 0; give a number above zero"):
        SetPiece(10, 0, 2, 2)
    with pytest.raises(ValueError, match="takes safety away"):
        estimate_m_s(SetPiece(10, 100, 2, 2), 0.5)


def test_the_worked_example_of_asce_7():
    """ASCE 7, velocity pressure: 115 mph, Kz 0.85, Kd 0.85: 24.46 lb/ft² (0.00256 × 0.85 × 0.85 × 115²)."""
    speed_m_s, factors = parse_speed_m_s("115 mph"), Factors(0.85, 0.85)
    assert pressure_psf(speed_m_s, factors) == pytest.approx(24.46, abs=0.005)
    # Its metric constant gives the same within its own rounding; 1 lb/ft² is 47.880 N/m².
    assert pressure_n_m2(speed_m_s, factors) == pytest.approx(24.46 * 47.880259, rel=2e-3)


@pytest.mark.parametrize(
    ("text", "m_s"), [("20", 20), ("72 km/h", 20), ("115mph", 51.4096), ("40 kn", 20.5778)]
)
def test_speeds_in_the_units_people_have(text, m_s):
    """Mile 1609.344 m, nautical mile 1852 m, by definition."""
    assert parse_speed_m_s(text) == pytest.approx(m_s, abs=1e-4)


@pytest.mark.parametrize("text", ["nan", "inf", "-5", "0", "fast", "900 mph", "", "1e2"])
def test_a_speed_that_is_none_is_a_sentence(text):
    with pytest.raises(ValueError, match="speed is"):
        parse_speed_m_s(text)


@pytest.mark.parametrize("safety", [float("nan"), float("inf"), 0.99, -1.0])
def test_a_safety_factor_that_is_none_is_a_sentence(safety):
    with pytest.raises(ValueError, match="give 1 or more"):
        estimate_m_s(SetPiece(10, 100, 2, 2), safety)


@pytest.mark.parametrize("factors", [(float("nan"), 1), (1, float("nan")), (0, 1), (3, 1), (1, 1.1)])
def test_a_factor_that_is_none_is_a_sentence(factors):
    with pytest.raises(ValueError, match=r"give a factor from 0\.5"):
        Factors(*factors)


@given(SOME, SOME, SOME, SOME, st.floats(0.5, 2.5), st.floats(0.5, 1))
def test_the_estimate_moves_with_the_root_of_the_factors(area, mass, arm, base, exposure, directionality):
    piece = SetPiece(area, mass, arm, base)
    factored = estimate_m_s(piece, factors=Factors(exposure, directionality))
    assert factored * (exposure * directionality) ** 0.5 == pytest.approx(estimate_m_s(piece))
