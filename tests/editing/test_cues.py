"""Changes of cues: numbers that are free and in order, references that follow."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, follow, item, show

from showcaller.editing import ChangeError, apply
from showcaller.editing.cues import add_cue, copy_cues, move_cue_to, remove_cue, renumber
from showcaller.editing.finding import find_in_book
from showcaller.editing.naming import free_id, number_between
from showcaller.editing.snapping import anchor_near, moved_anchor, nudged_anchor
from showcaller.timing.plan import compile_item

BARS = [{"bar": 1, "bpm": 120}]


def made():
    msc = {"kind": "msc", "outlet": "m", "command": "go", "cue": "2"}
    first = [cue("a1", "1", 5), cue("a2", "2", 20, messages=[msc]), follow("a3", "3", "a2", 2)]
    return show(
        [item("one", 60, first, tempo=BARS), item("two", 60, [cue("b1", "10", 5)])],
        outlets=[{"kind": "midi", "id": "m", "name": "M", "port": "m"}],
    )


_NUMBERS = st.decimals(0, 99, places=3)


@given(st.one_of(st.none(), _NUMBERS), st.one_of(st.none(), _NUMBERS), st.sets(_NUMBERS, max_size=30))
def test_a_number_between_two_is_free_and_in_order_where_there_is_room(before, after, taken):
    found = number_between(before, after, taken)
    assert found not in taken
    if after is None:
        assert before is None or found > before
    elif (before or Decimal(0)) < after and found < after:
        assert found > (before or Decimal(0))


def test_a_new_cue_is_numbered_between_its_neighbours():
    one = made()
    change, new = add_cue(one, "one", "lights", {"at": "time", "seconds": 10}, Fraction(10))
    one, _ = apply(one, change)
    assert {c.id: str(c.number) for c in one.items[0].cues}[new] == "1.5"
    change, new = add_cue(one, "two", "lights", {"at": "time", "seconds": 1}, Fraction(1))
    one, _ = apply(one, change)
    assert {c.id: str(c.number) for c in one.items[1].cues}[new] == "4"


def test_renumbering_keeps_followers_and_takes_show_control_along():
    one, _ = apply(made(), renumber(made(), "lights", Decimal(2), Decimal(3), Decimal(20), Decimal(10)))
    cues = {c.id: c for c in one.items[0].cues}
    assert [str(cues[i].number) for i in ("a1", "a2", "a3")] == ["1", "20", "30"]
    assert cues["a3"].anchor.cue == "a2"
    assert cues["a2"].messages[0].cue == "20"


@pytest.mark.parametrize(
    ("first", "last", "start", "step", "sentence"),
    [
        (2, 3, 9, 1, "Lights 10 is in use outside 2 to 3"),
        (50, 60, 1, 1, "has no cue from 50 to 60"),
        (2, 3, 20, 0, "does not count on"),
        (2, 3, 2, 1, "have these numbers already"),
        (2, 3, 99999, 1, "would get 100000"),
    ],
)
def test_a_renumbering_that_cannot_be_is_one_sentence(first, last, start, step, sentence):
    with pytest.raises(ChangeError, match=sentence):
        renumber(made(), "lights", Decimal(first), Decimal(last), Decimal(start), Decimal(step))


def test_what_followed_a_removed_or_moved_cue_keeps_its_instant():
    for change in (remove_cue(made(), "a2"), move_cue_to(made(), "a2", "two")):
        one, _ = apply(made(), change)
        assert {p.cue.id: p.at_s for p in compile_item(one.items[0], "25").cues}["a3"] == 22


def test_a_follow_on_copied_with_its_leader_follows_the_copy():
    change, (_, second) = copy_cues(made(), ["a2", "a3"], "two")
    one, _ = apply(made(), change)
    copies = {c.id: c for c in one.items[1].cues}
    assert copies[second].anchor.cue == "a2-2"
    assert compile_item(one.items[1], "25").problems == ()


def test_a_dragged_cue_lands_on_a_beat_and_a_nudge_carries_over_the_bar():
    planned = compile_item(made().items[0], "25")
    assert anchor_near(planned, 4.4) == {"at": "bar", "bar": 3, "beat": 2}
    assert anchor_near(planned, 4.4, Fraction(1, 4)) == {"at": "bar", "bar": 3, "beat": 1.75}
    assert anchor_near(planned, 5.9) == {"at": "bar", "bar": 4, "beat": 1}
    follower = next(p for p in planned.cues if p.cue.id == "a3")
    assert moved_anchor(planned, follower, 25.04) == {"at": "after", "cue": "a2", "delay_s": 5}
    assert moved_anchor(planned, follower, 3) == {"at": "after", "cue": "a2", "delay_s": 0}
    timed = next(p for p in planned.cues if p.cue.id == "a1")
    assert nudged_anchor(planned, timed, 3) == {"at": "time", "seconds": 5.3}


def test_things_are_found_by_number_name_word_and_address():
    one = made()
    assert [f.cue for f in find_in_book(one, "lights 10")] == ["b1"]
    assert [f.cue for f in find_in_book(one, "LX 2")] == ["a2"]
    assert [(f.item, f.cue) for f in find_in_book(one, "two")] == [("two", None)]
    assert find_in_book(one, "cue a3")[0].cue == "a3"
    assert find_in_book(one, "nothing of the kind") == []


def test_ids_are_readable_and_free():
    assert free_id("Späte Möwen, 2", set()) == "spate-mowen-2"
    assert free_id("Talk", {"talk", "talk-2"}) == "talk-3"
    assert free_id("東京", set()) == "new"
