"""Lengths the tour teaches, and what it suggests for tomorrow."""

import pytest
from night import PLAN, Night, plain_night
from played import Played
from small_shows import two_songs

from showcaller.editing import SetFields, apply
from showcaller.editing.changes import Take
from showcaller.model.clockwords import m_ss
from showcaller.review.learned import Sample, is_taken, item_samples, lengths_of, offer, suggestion
from showcaller.review.timeline import make_timeline
from showcaller.run import commands as c


def test_only_an_item_played_once_and_whole_teaches_its_length() -> None:
    broken = Night()
    broken.seconds(0, c.Start())
    broken.go(0)
    broken.go(60)
    broken.seconds(100, c.Jump("song", "s2"))
    broken.go(103)
    broken.seconds(150, c.Jump("talk", "t2"))
    broken.go(160)
    broken.seconds(200, c.End())
    samples = item_samples([(30, 1, PLAN, plain_night().records), (31, 2, PLAN, broken.records)])
    assert samples["song"] == (Sample(30, 1, 190.0),)
    assert samples["talk"] == (Sample(30, 1, 174.1),)
    assert round(samples["walk"][0].length_s, 9) == 64.333333333  # the hold left out
    assert set(samples) == {"song", "talk", "walk", "last"}


def test_a_sentence_for_tomorrow() -> None:
    nights = [Sample(n, 1, s) for n, s in enumerate([93.2, 98.0, 104.1], 1)]
    assert (
        suggestion("Talk: the lamp", 80, nights) == "Plan “Talk: the lamp” at 1:38 (3 shows, 1:33 to 1:44)."
    )
    assert suggestion("Talk: the lamp", 98, nights) is None  # planned so already
    assert suggestion("Talk: the lamp", 80, nights[:2]) is None  # too few


def test_what_was_simulated_teaches_nothing_and_rehearsals_are_named() -> None:
    simulated = [Sample(n, 1, 98.0, kind="simulated") for n in range(5)]
    assert suggestion("Talk", 80, simulated) is None
    mixed = [Sample(1, 1, 98.0), Sample(2, 1, 97.0, kind="rehearsal"), Sample(3, 1, 99.0), *simulated]
    assert suggestion("Talk", 80, mixed) == "Plan “Talk” at 1:38 (2 shows and 1 rehearsal, 1:37 to 1:39)."


def test_a_walk_on_is_never_offered_shorter_than_its_legs() -> None:
    quick = [Sample(n, 1, 60.0 + n) for n in range(4)]
    found = offer("w", "Walk", 90, quick, least_s=74.2)
    assert found is not None
    assert found.fields == {"length_s": "75"}
    assert offer("w", "Walk", 76, quick, least_s=74.2) is None, "near enough already"


def test_an_offer_that_the_book_has_is_taken() -> None:
    found = offer("first", "First", 40, [Sample(n, 1, 50.0) for n in range(3)])
    assert found is not None
    assert not is_taken(two_songs(), found)
    there, _ = apply(two_songs(), SetFields(at=("items", "first"), fields={"length_s": "50"}))
    assert is_taken(there, found)
    gone, _ = apply(two_songs(), Take(at=("items",), key="first"))
    assert not is_taken(gone, found)


def test_clocks() -> None:
    assert [m_ss(s) for s in (5, 98, 3600, 6345)] == ["0:05", "1:38", "1:00:00", "1:45:45"]


@pytest.mark.parametrize(("cue_up", "to_cue"), [(True, None), (False, None)])
def test_an_item_that_was_left_by_a_jump_teaches_no_length(cue_up, to_cue):
    run = Played(two_songs())
    run.go(0)
    run.at(14, c.Jump("second", to_cue, cue_up))
    run.at(20, c.Go(run.next_go(), True))
    run.at(80, c.End("over"))
    timeline = make_timeline(run.records)
    assert [v.left for v in timeline.visits] == [True, False]
    assert "first" not in dict(lengths_of(timeline))


def test_a_jump_over_the_next_item_at_a_songs_end_leaves_the_song_whole():
    run = Played(two_songs())
    at_s = 0.0
    while run.state.place.item == 0:
        run.at(at_s + 1, c.Clear("path", True, None, "Moves"))
        run.go(at_s := at_s + 10, confirmed=True)
    run.at(at_s + 1, c.Jump("second", None, False))
    run.at(at_s + 30, c.Go(run.next_go(), True))
    run.at(at_s + 60, c.End("over"))
    timeline = make_timeline(run.records)
    assert not timeline.visits[0].left
