"""A full item after an edit: its marks at once, its calls after; and what of it the strip shows."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, item, show

from showcaller.desk.areas.book.strip import _kept_lanes, _lanes
from showcaller.desk.areas.book.stripview import Mark, StripView
from showcaller.desk.areas.book.workout import first_look, work_out
from showcaller.model.base import ById


def full(count: int, last_s: float = 0.0):
    at_s = [n * 4 + 30 + (last_s if n == count - 1 else 0) for n in range(count)]
    return show([item("s", 4000, [cue(f"c{n}", str(n + 1), at) for n, at in enumerate(at_s)])])


def test_a_mark_follows_at_once_with_the_calls_as_they_were() -> None:
    before = work_out(full(60), 0)
    now = first_look(full(60, last_s=2.5), 0, before)
    moved = work_out(full(60, last_s=2.5), 0)
    assert [m.at_s for m in now.view.marks] == [m.at_s for m in moved.view.marks]
    assert now.view.spoken == before.view.spoken != moved.view.spoken


@pytest.mark.parametrize("before", [None, work_out(full(59), 0)])
def test_other_cues_have_no_calls_until_theirs_are_there(before) -> None:
    now = first_look(full(60), 0, before)
    assert (now.view.spoken, now.view.collisions, len(now.view.marks)) == ((), (), 60)
    assert now.sheet.load == Fraction(0)


marks = st.lists(
    st.tuples(st.integers(0, 2), st.floats(0, 100), st.none() | st.floats(-5, 100), st.booleans()),
    max_size=40,
)


@given(marks)
def test_lanes_hold_every_mark_once_in_order_of_time(found) -> None:
    made = tuple(
        Mark(n, lane, str(n), at, begins, auto, True) for n, (lane, at, begins, auto) in enumerate(found)
    )
    view = StripView("", "", 100.0, (), (), (), (None, None, None), made, (), ())  # type: ignore[arg-type]
    lanes = _lanes(view)
    assert lanes == _kept_lanes(ById(view))
    for n, lane in enumerate(lanes):
        mine = [m for m in made if m.lane == n]
        assert lane.at_s == sorted(m.at_s for m in mine)
        assert sorted(lane.cues) == [m.cue for m in mine]
        assert [lane.numbers[lane.cues.index(m.cue)] for m in mine] == [m.number for m in mine]
        assert sorted([*lane.called_s, *lane.automatic_s]) == lane.at_s
        assert sorted(lane.tails_s) == sorted(
            (m.standby_s, m.at_s) for m in mine if m.standby_s is not None and not m.automatic
        )
        assert lane.ends_s == [end for _, end in lane.tails_s] == sorted(lane.ends_s)
    if made:
        without = _lanes(view, made[0].cue)
        assert sum(len(lane.at_s) for lane in without) == len(made) - 1
