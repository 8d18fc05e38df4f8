"""Changes of the running order: split, alternates, removal; what is played keeps its instants."""

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import cue, follow, item, show, two_songs

from showcaller.editing import ChangeError, apply
from showcaller.editing.running_order import (
    make_alternate,
    move_item,
    remove_item,
    set_out,
    split_item,
    tonight_s,
)
from showcaller.model import Song, read_show
from showcaller.timing.plan import compile_item, compile_plan

SAMPLE = read_show(Path(__file__).parents[2] / "sample_shows" / "breakwater.json")


def instants(one, offset_s=Fraction(0)):
    return {p.cue.id: p.at_s + offset_s for p in compile_item(one, "25").cues}


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_every_cue_of_a_split_song_stays_at_its_second(data):
    songs = [s for s in SAMPLE.items if isinstance(s, Song) and s.tempo]
    song = data.draw(st.sampled_from(songs))
    tempo = compile_item(song, "25").tempo
    at_s = song.downbeat_s + tempo.seconds(data.draw(st.integers(2, 90)))
    try:
        change, second = split_item(SAMPLE, song.id, at_s)
    except ChangeError:
        return  # inside a change of tempo, past the end, or between a cue and its follower
    changed, inverse = apply(SAMPLE, change)
    first = next(i for i in changed.items if i.id == song.id)
    rest = next(i for i in changed.items if i.id == second)
    assert first.length_s + rest.length_s == song.length_s
    after = instants(first) | instants(rest, at_s)
    before = {p.cue.id: p.at_s for p in compile_item(song, "25").cues}
    assert after == before
    assert apply(changed, inverse)[0] == SAMPLE


def test_a_song_is_split_only_on_a_bar_line_and_not_between_a_cue_and_its_follower():
    made = show(
        [item("a", 60, [cue("a1", "1", 10), follow("a2", "2", "a1", 5)], tempo=[{"bar": 1, "bpm": 120}])]
    )
    with pytest.raises(ChangeError, match="first beat of a bar; the nearest is bar 3"):
        split_item(made, "a", Fraction(9, 2))
    with pytest.raises(ChangeError, match="follows a cue on the other side"):
        split_item(made, "a", Fraction(12))
    with pytest.raises(ChangeError, match="not inside A"):
        split_item(made, "a", Fraction(60))


def test_of_an_item_and_its_alternates_one_at_most_is_played():
    made = show([item("a", 60, []), item("b", 90, []), item("c", 30, [])])
    made, _ = apply(made, make_alternate(made, "b", "a"))
    made, _ = apply(made, make_alternate(made, "c", "b"))
    assert made.items[2].instead_of == "a", "an alternate of an alternate stands in for the same"
    assert [i.out for i in made.items] == [False, True, True]
    for chosen in ("b", "c", "a"):
        made, _ = apply(made, set_out(made, chosen, False))
        assert [i.id for i in made.items if not i.out] == [chosen]
        assert [p.item.id for p in compile_plan(made).items] == [chosen]
    with pytest.raises(ChangeError, match="cannot stand in for itself"):
        make_alternate(made, "a", "c")


def test_everything_out_is_refused():
    made = show([item("a", 60, [])])
    with pytest.raises(ChangeError, match="every item is cut"):
        apply(made, set_out(made, "a", True))


def test_removing_an_item_frees_its_alternates_and_the_last_stays():
    made = show([item("a", 60, []), item("b", 90, [])])
    made, _ = apply(made, make_alternate(made, "b", "a"))
    with pytest.raises(ChangeError, match="every item is cut"):
        apply(made, remove_item(made, "a"))
    made, _ = apply(made, set_out(made, "b", False))
    made, _ = apply(made, remove_item(made, "a"))
    assert made.items[0].instead_of is None
    with pytest.raises(ChangeError, match="is the only item"):
        remove_item(made, "b")


def test_the_first_cannot_go_up_and_what_is_out_takes_no_time():
    made = two_songs()
    with pytest.raises(ChangeError, match="is first already"):
        move_item(made, made.items[0].id, -1)
    less, _ = apply(made, set_out(made, made.items[0].id, True))
    assert tonight_s(made) - tonight_s(less) == made.items[0].length_s
