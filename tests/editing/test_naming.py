"""Ids for what is new: free, readable, and soon found among thousands of one name."""

from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, document, item

from showcaller.editing.naming import CueIds, cue_ids, free_id
from showcaller.model import Show


class Counting(set):
    """A set that counts how often it is asked."""

    asked = 0

    def __contains__(self, what: object) -> bool:
        self.asked += 1
        return super().__contains__(what)


@given(st.sets(st.integers(1, 400)))
def test_it_is_free_and_the_first_free_among_a_hundred(numbers):
    taken = {"song" if n == 1 else f"song-{n}" for n in numbers}
    found = free_id("Song", taken)
    assert found not in taken
    first = next(n for n in range(1, 402) if n not in numbers)
    if first <= 100:
        assert found == ("song" if first == 1 else f"song-{first}")


def test_of_twenty_thousand_of_one_name_each_is_soon_found():
    taken = Counting()
    for _ in range(20_000):
        taken.add(free_id("Song", taken))
    assert len(taken) == 20_000
    assert taken.asked < 20_000 * 140


def test_a_cue_is_found_in_whichever_item_it_is_without_gathering_them():
    show = Show.model_validate(
        document([item("a", 60, [cue("x", "1", 1)]), item("b", 60, [cue("y", "2", 1), cue("z", "3", 2)])])
    )
    assert cue_ids(show) == {"x", "y", "z"}
    assert [name for name in ("w", "x", "y", "z", "a") if name in CueIds(show)] == ["x", "y", "z"]
