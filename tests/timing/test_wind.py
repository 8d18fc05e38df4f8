"""The wind estimate against published pressures and a worked lever."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.timing.wind import SetPiece, estimate_m_s, overturning_share, pressure_n_m2

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
