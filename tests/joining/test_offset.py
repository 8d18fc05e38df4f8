"""Two clocks, a wire of unequal delays. The bound is Cristian's (Probabilistic clock synchronization, 1989):
the error is at most half the round trip."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.joining.offset import Trips, clock_words

DELAYS = st.integers(20_000, 200_000_000)


@given(st.integers(-(10**15), 10**15), st.lists(st.tuples(DELAYS, DELAYS), min_size=1, max_size=30))
def test_the_true_offset_lies_within_the_error_and_the_shortest_trip_counts(offset_ns, delays):
    trips, now_ns, shortest = Trips(), 5_000_000_000, 10**12
    for there_ns, back_ns in delays:
        trips.note(now_ns, now_ns + there_ns + offset_ns, now_ns + there_ns + back_ns)
        now_ns += there_ns + back_ns
        shortest = min(shortest, there_ns + back_ns)
    found = trips.best(now_ns)
    assert found is not None
    assert abs(found.ns - offset_ns) <= found.error_ns
    # Two oscillators of ±50 ppm (a usual tolerance, from memory) may have gone apart since the best trip.
    assert found.error_ns <= shortest / 2 + 1 + 100e-6 * (now_ns - 5_000_000_000)


def test_it_is_said_when_countdowns_may_be_more_than_twenty_milliseconds_out():
    assert clock_words(19_000_000) == ""
    assert clock_words(41_000_000).startswith("This desk's countdowns may be 41 ms out")
    assert "not in step yet" in clock_words(None)
