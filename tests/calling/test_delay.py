"""A delay that was announced: it goes into the projected end, and is over when the show resumes."""

import json

import pytest
from books import book_of
from played import WALL0_NS, Played
from small_shows import cue, document, item

from showcaller.calling.outlook import delay_left_s, item_durations, show_forecast
from showcaller.calling.status_view import ends
from showcaller.model import parse_show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS


def run():
    songs = [item(f"i{n}", 300, [cue(f"c{n}", str(n + 1), 0)]) for n in range(3)]
    return Played(parse_show(json.dumps(document(songs))))


def end_s(played, t_s):
    """When the show ends, s of the run's clock."""
    book = book_of(played)
    durations = item_durations(played.compiled.plan.show, {})
    now_ns = round(t_s * NS)
    return t_s + show_forecast(book, durations, now_ns, WALL0_NS + now_ns).end_s


def test_a_delay_before_the_start_moves_the_end_by_what_is_left_of_it():
    played = run()
    before = end_s(played, 100)
    (told,) = played.at(100, c.AnnounceDelay(1200, "Jo"))
    assert told == ev.DelayAnnounced(for_s=1200, by="Jo")
    assert end_s(played, 100) == pytest.approx(before + 1200)
    assert end_s(played, 700) == pytest.approx(before + 1200), "as long as it is not over, the end stands"
    assert delay_left_s(book_of(played), 700 * NS) == 600
    assert end_s(played, 1500) == pytest.approx(before + 1400), "over and not begun: it slips with the clock"
    played.go(1510)
    assert played.state.delay_until_ns is None


def test_on_hold_the_announced_delay_counts_and_resuming_early_ends_it():
    played = run()
    played.go(0)
    played.at(60, c.Hold("wind"), c.AnnounceDelay(600))
    assert end_s(played, 60) == pytest.approx(900 + 600, abs=20)
    (figure, *_) = ends(book_of(played), WALL0_NS, show_forecast(book_of(played), {}, 60 * NS, WALL0_NS))
    assert figure.label == "projected end · with the delay"
    played.at(120, c.Resume())
    assert played.state.delay_until_ns is None
    assert end_s(played, 120) == pytest.approx(960, abs=20)


def test_while_an_item_plays_only_what_comes_after_it_is_put_off():
    played = run()
    played.go(0)
    played.at(60, c.AnnounceDelay(600))
    assert end_s(played, 60) == pytest.approx(660 + 600, abs=20), "240 s of the item that is on are within it"


def test_it_is_taken_back_by_nought_and_what_is_no_delay_is_one_sentence():
    played = run()
    assert "none to take back" in played.refusal(1, c.AnnounceDelay(0))
    assert "0 minutes to 12 hours" in played.refusal(1, c.AnnounceDelay(-1))
    assert "0 minutes to 12 hours" in played.refusal(1, c.AnnounceDelay(1e6))
    played.at(2, c.AnnounceDelay(60), c.AnnounceDelay(0))
    assert played.state.delay_until_ns is None


def test_behind_a_gap_of_the_log_it_is_of_its_own_instant():
    played = run()
    told = ev.DelayAnnounced(for_s=600, by="")
    played.at(100, c.Recovered(0, missing=1, heard=((40 * NS, (told,)),)))
    assert played.state.delay_until_ns == 640 * NS
