"""So much in a second and no more."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.crew.asking_rate import AskingRate


@given(st.lists(st.floats(0, 3), max_size=60))
def test_never_more_than_its_rate_and_one_burst(gaps):
    allowance, now_s, taken = AskingRate(2.0, 6.0), 100.0, 0
    for gap_s in gaps:
        now_s += gap_s
        taken += allowance.take(now_s)
    assert taken <= 6 + 2 * (now_s - 100.0) + 1e-6


def test_a_patient_one_is_never_refused():
    allowance = AskingRate(2.0, 6.0)
    assert all(allowance.take(n * 0.5) for n in range(50))
