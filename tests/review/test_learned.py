"""Lengths the tour teaches, and what it suggests for tomorrow."""

import pytest
from night import PLAN, Night, plain_night
from played import Played
from small_shows import two_songs

from showcaller.model.clockwords import m_ss
from showcaller.review.learned import Sample, item_samples, lengths_of, suggestion
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
