"""Putting a song's clock right by hand: "this is bar 33 now", or a tap on the downbeat."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from played import Played, cues_of
from small_shows import cue, follow, item, show

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS

# 120 quarters a minute in 4/4: a bar is 2 s, a beat 0.5 s (60/120). Bar 1 falls 1 s into the song.
BAR_S = 2.0


def song(**more):
    cues = [cue("a", "1", 0), follow("f", "2", "a", 1.5)]
    for n, bar in enumerate((2, 3, 4, 6, 9)):
        cues.append(cue(f"bar{bar}", str(10 + n), {"at": "bar", "bar": bar}, fires="by itself"))
    tempo = [{"bar": 1, "bpm": 120}]
    return show(
        [item("s", 60, cues, tempo=tempo, downbeat_s=1), item("free", 60, [cue("z", "99", 0)])], **more
    )


def at_bar_s(bar, beat=1):
    return 1 + (bar - 1) * BAR_S + (beat - 1) * 0.5


@pytest.fixture
def run():
    run = Played(song())
    run.go(0)
    return run


def test_this_is_bar_4_now_and_what_was_passed_a_moment_ago_fires(run):
    run.at(6.4)  # 0.6 s before bar 4
    events = run.at(6.4, c.Resync(4))
    assert events == [ev.Resynced(item="s", bar=4, beat=1, shift_s=0.6, at_s=6.4)]
    run.at(6.4)
    assert run.left() == ["a", "f", "bar2", "bar3", "bar4"]
    run.at(10.4)
    assert run.sends[-1] == ("bar6", 10.4)


def test_what_a_long_shift_ahead_passed_is_named_missed(run):
    run.at(3.5)
    run.at(3.5, c.Resync(6, 2))
    events = run.at(3.5)
    assert cues_of(events, "missed") == ["bar3", "bar4"]
    assert cues_of(events, "fired") == ["bar6"]
    assert [e.late_s for e in events if isinstance(e, ev.Missed)] == [6.5, 4.5]


def test_a_shift_back_fires_nothing_again(run):
    run.at(7.2)
    (event,) = run.at(7.2, c.Resync(2))
    assert event.shift_s == pytest.approx(-4.2)
    run.at(60)
    assert run.left() == ["a", "f", "bar2", "bar3", "bar4", "bar6", "bar9"]
    assert dict(run.sends)["bar6"] == pytest.approx(15.2)


def test_what_follows_a_cue_waits_its_delay_through_a_shift():
    run = Played(song())
    run.go(0)
    run.at(0.5, c.Resync(3))
    run.at(2)
    assert ("f", 1.5) in run.sends


@pytest.mark.parametrize(("tap_s", "bar"), [(2.6, 2), (3.0, 2), (3.9, 2), (4.1, 3), (0.7, 1)])
def test_a_tap_is_the_nearest_downbeat(run, tap_s, bar):
    run.at(tap_s)
    events = [e for e in run.at(tap_s, c.Resync(downbeat=True)) if isinstance(e, ev.Resynced)]
    assert [(e.bar, e.shift_s) for e in events] == [(bar, pytest.approx(at_bar_s(bar) - tap_s))]


@given(st.integers(0, 30 * NS), st.integers(1, 15), st.integers(1, 4))
def test_the_clock_stands_at_the_bar_named_whenever_it_was_named(now_ns, bar, beat):
    run = Played(song())
    run.go(0)
    run.at(now_ns / NS)
    run.step(c.Resync(bar, beat), now_ns)
    assert run.state.item_ns(now_ns) == at_bar_s(bar, beat) * NS
    run.at(90)
    assert len(run.left()) == len(set(run.left()))
    assert Fraction(run.records[-1].t_ns) >= 0


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (c.Resync(), "say which bar this is, or tap on the downbeat"),
        (c.Resync(3, 1, True), "say which bar this is, or tap on the downbeat"),
        (c.Resync(0), "there is no bar 0; bars count from 1"),
        (c.Resync(10**40), "there is no bar 100000000000; bars count from 1"),
        (c.Resync(3, 5), "bar 3 has 4 beats; give one of them"),
        (c.Resync(330), "bar 330 is past the planned end of 'S'; give an earlier one"),
    ],
)
def test_what_cannot_be_is_refused(run, given, sentence):
    assert run.refusal(5, given) == sentence


def test_without_a_running_song_with_bars_there_is_nothing_to_put_right(run):
    fresh = Played(song())
    assert fresh.refusal(0, c.Resync(2)) == "no song is running: give the go that starts it"
    run.at(5, c.Hold("x"))
    assert run.refusal(6, c.Resync(2)) == "the show is on hold: resume first"
    run.at(7, c.Resume())
    run.go(50)
    assert (
        run.refusal(51, c.Resync(2)) == "'Free' has no tempo, so it has no bars; give it a tempo in the Book"
    )


def test_while_timecode_leads_the_clock_it_is_taken_over_first():
    made = song(timecode_in={"kind": "mtc", "port": "x"})
    first = made.items[0].changed(timecode_start="01:00:00:00")
    run = Played(made.changed(items=(first, *made.items[1:])))
    run.at(0, c.Timecode("locked", -3600 * NS))
    run.go(0)
    assert run.refusal(3, c.Resync(2)) == "timecode leads this clock: take it by hand first"
    run.at(3, c.Follow(False))
    run.at(3, c.Resync(3))
    assert run.state.item_ns(3 * NS) == 5 * NS


def test_a_tap_long_before_the_song_is_no_downbeat():
    made = song()
    late = made.items[0].changed(downbeat_s=20)
    run = Played(made.changed(items=(late, *made.items[1:])))
    run.go(0)
    assert (
        run.refusal(2, c.Resync(downbeat=True))
        == "the first downbeat is more than half a bar away: tap on it when it comes"
    )


def test_a_shift_is_taken_back_once_and_the_clock_is_where_it_was(run):
    run.at(6.4)
    run.at(6.4, c.Resync(4))
    told = [e for e in run.at(7.0, c.Resync(undo=True)) if isinstance(e, ev.Resynced)]
    assert [e.undone for e in told] == [True]
    assert told[0].shift_s == pytest.approx(-0.6)
    assert run.state.item_ns(8 * NS) == 8 * NS
    assert (
        run.refusal(8, c.Resync(undo=True))
        == "this item's clock was not moved by hand, so there is nothing to take back"
    )


def test_a_shift_of_the_item_before_is_not_this_ones(run):
    run.at(6.4, c.Resync(4))
    run.go(20)
    assert (
        run.refusal(21, c.Resync(undo=True))
        == "this item's clock was not moved by hand, so there is nothing to take back"
    )
