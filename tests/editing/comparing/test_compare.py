"""Comparing editions: a note to the crew for every change, and each can be brought back by itself."""

from decimal import Decimal
from fractions import Fraction

from edits import random_edit
from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import cue, item, show, two_songs

from showcaller.editing import SetFields, Together, apply
from showcaller.editing.changes import ChangeError
from showcaller.editing.comparing import compare
from showcaller.editing.cues import add_cue, move_cue_to, remove_cue, renumber
from showcaller.editing.running_order import add_item, move_item, remove_item, set_out
from showcaller.model import show_text


def song():
    tempo = [{"bar": 1, "bpm": 120}]
    cues = [cue("v14", "14", {"at": "bar", "bar": 47}, "video"), cue("l1", "1", {"at": "bar", "bar": 3})]
    return show([item("gulls", 240, cues, tempo=tempo), item("tide", 180, []), item("lamp", 200, [])])


def words(old, new):
    return [note.words for note in compare(old, new).notes]


def test_a_moved_cue_reads_like_a_note_to_the_crew():
    old = song()
    at = ("items", "gulls", "cues", "v14")
    new, _ = apply(old, SetFields(at=at, fields={"anchor": {"at": "bar", "bar": 49}}))
    assert words(old, new) == ["Video 14 is now at bar 49 (was at bar 47)"]


def test_every_kind_of_change_is_told():
    old = song()
    new, _ = apply(old, move_item(old, "lamp", -2))
    new, _ = apply(new, SetFields(at=("items", "gulls"), fields={"length_s": 288}))
    new, _ = apply(new, add_item(new, "talk", "The ferry", 3, Fraction(90))[0])
    new, _ = apply(new, set_out(new, "tide", True))
    new, _ = apply(new, add_cue(new, "gulls", "lights", {"at": "time", "seconds": 200}, Fraction(200))[0])
    new, _ = apply(new, renumber(new, "video", Decimal(14), Decimal(14), Decimal(15), Decimal(1)))
    new, _ = apply(new, SetFields(at=(), fields={"curfew": "22:45"}))
    assert words(old, new) == [
        "curfew of the show: 22:45 (was 23:00)",
        "Lamp now comes first (was after Tide)",
        "Gulls is 4:48 (was 4:00; it is 0:48 longer)",
        "Video 14 is now Video 15",
        "Lights 2 is new, at 3:20: new cue",
        "Tide is cut tonight",
        "The ferry is new, after Tide",
    ]
    found = compare(old, new)
    assert found.longer_s == 48 + 90 - 180
    assert found.summary == "2 added, 1 moved, 4 changed; the show is 0:42 shorter."


def test_only_what_moved_is_said_to_have_moved():
    """The longest run that kept its order stands still: moving one item of nine is one note."""
    old = show([item(f"s{n}", 60, []) for n in range(9)])
    new, _ = apply(old, move_item(old, "s7", -5))
    assert words(old, new) == ["S7 now comes after S1 (was after S6)"]


def test_a_call_that_collides_now_is_named():
    old = show([item("a", 100, [cue("a1", "1", 20), cue("a2", "2", 40, "video")])])
    new, _ = apply(
        old, SetFields(at=("items", "a", "cues", "a2"), fields={"anchor": {"at": "time", "seconds": 20.4}})
    )
    found = compare(old, new)
    assert found.collisions
    assert "1 call is now too close together" in found.summary
    assert compare(new, old).resolved == found.collisions


def test_a_cue_in_another_song_is_moved_not_removed_and_added():
    old = song()
    new, _ = apply(old, move_cue_to(old, "l1", "tide"))
    assert words(old, new) == ["Lights 1 is now in Tide (was in Gulls)"]


def test_each_part_can_be_brought_back_alone():
    old = song()
    new, _ = apply(old, remove_cue(old, "v14"))
    new, _ = apply(new, SetFields(at=("items", "tide"), fields={"length_s": 200}))
    new, _ = apply(new, remove_item(new, "lamp"))
    notes = compare(old, new).notes
    assert [n.words for n in notes] == [
        "Video 14 is gone",
        "Tide is 3:20 (was 3:00; it is 0:20 longer)",
        "Lamp is gone, with 0 cues",
    ]
    for n, note in enumerate(notes):
        back, _ = apply(new, note.back)
        left = [m.words for m in compare(old, back).notes]
        assert left == [m.words for k, m in enumerate(notes) if k != n]
    everything, _ = apply(new, Together(changes=tuple(note.back for note in notes)))
    assert show_text(everything) == show_text(old)


@settings(max_examples=80, deadline=None)
@given(st.randoms(use_true_random=False), st.integers(1, 5))
def test_nothing_is_said_of_the_same_and_something_of_every_change(rng, count):
    old = two_songs()
    assert not compare(old, old).notes
    new = old
    for _ in range(count):
        new, _, _ = random_edit(new, rng)
    found = compare(old, new)
    # The order in which an item's cues are written is no change for the crew.
    sort = lambda s: [(i.id, sorted(c.model_dump_json() for c in i.cues)) for i in s.items]  # noqa: E731
    same = sort(old) == sort(new) and show_text(_bare(old)) == show_text(_bare(new))
    assert bool(found.notes) is not same
    for note in found.notes:
        try:
            back, _ = apply(new, note.back)
        except ChangeError:
            continue  # it needs another part brought back first, and says so
        assert len(compare(old, back).notes) <= len(found.notes)


def _bare(one):
    return one.model_copy(update={"items": tuple(i.model_copy(update={"cues": ()}) for i in one.items)})
