"""Presses told from releases, and a flood from a hand."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.engine.remote.limits import BURST, PER_S, QUIET_NS, Allowance, Complaints
from showcaller.engine.remote.pressing import Presses

S = 1_000_000_000


def pressed(stream):
    presses = Presses()
    return [value for at_s, value in stream if presses.is_press("go", value, round(at_s * S))]


def test_a_press_and_its_release_are_one():
    assert pressed([(0, 1.0), (0.1, 0.0), (1, 1.0), (1.1, 0.0)]) == [1.0, 1.0]


def test_a_lost_release_costs_no_press():
    assert pressed([(0, 1.0), (3, 1.0), (6, 1.0)]) == [1.0] * 3


def test_a_control_on_its_way_down_is_one_press():
    assert pressed([(k / 20, k / 10) for k in range(11)] + [(0.9, 0.5), (1.2, 0.0), (2, 0.7)]) == [0.1, 0.7]


def test_without_a_value_every_one_is_a_press():
    assert pressed([(0, None), (1, None)]) == [None, None]


@given(st.lists(st.integers(0, 2 * S), min_size=1, max_size=400))
def test_an_allowance_is_never_more_than_its_burst_and_rate(gaps):
    allowance, at_ns, taken = Allowance(), 1, 0
    for gap in gaps:
        at_ns += gap
        taken += allowance.take(at_ns)
    assert taken <= BURST + PER_S * at_ns / S + 1


def test_a_flood_of_one_sort_is_a_sentence_and_a_count():
    complaints = Complaints()
    said = [complaints.about("OSC from x", "rubbish", "4 bytes", n * S // 1000) for n in range(1, 5001)]
    assert [s for s in said if s] == ["4 bytes"]
    assert complaints.about("OSC from x", "rubbish", "8 bytes", 1_000_000 + QUIET_NS) == (
        "8 bytes; 4999 more like it were ignored"
    )
    assert complaints.overdue(3 * QUIET_NS) == []


def test_what_was_counted_is_told_when_it_ends():
    complaints = Complaints()
    for n in range(5):
        complaints.about("OSC from x", "rubbish", "4 bytes", n)
    assert complaints.overdue(QUIET_NS) == [("OSC from x", "4 more like it were ignored: rubbish")]
    assert complaints.overdue(2 * QUIET_NS) == []
