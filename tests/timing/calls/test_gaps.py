"""The gaps between the goes, against trying each unit of time."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.timing.calls.tasks import Gaps

busy_stretches = st.lists(st.tuples(st.integers(0, 60), st.integers(1, 12)), max_size=6)


def _free(busy, breath, start, end):
    """Neither within a breath of a stretch, nor on both sides of one."""
    return all(end + breath <= a or b + breath <= start for a, b in busy)


@given(busy_stretches, st.integers(0, 4), st.integers(1, 15), st.integers(-20, 90))
def test_the_earliest_end_is_the_first_that_is_free(found, breath, takes, lo):
    busy = [(a, a + n) for a, n in found]
    first = next(end for end in range(lo, 300) if _free(busy, breath, end - takes, end))
    assert Gaps(busy, breath).earliest_end(takes, lo) == first


@given(busy_stretches, st.integers(0, 4), st.integers(1, 15), st.integers(-20, 90), st.integers(0, 40))
def test_the_latest_end_is_the_last_that_is_free(found, breath, takes, lo, width):
    busy = [(a, a + n) for a, n in found]
    ends = [end for end in range(lo, lo + width + 1) if _free(busy, breath, end - takes, end)]
    assert Gaps(busy, breath).latest_end(lo + width, takes, lo) == (ends[-1] if ends else None)
