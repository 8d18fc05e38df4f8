"""Lengths the tour teaches, and what it suggests for tomorrow."""

from night import PLAN, Night, plain_night

from showcaller.model.clockwords import m_ss
from showcaller.review.learned import Sample, item_samples, suggestion
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
