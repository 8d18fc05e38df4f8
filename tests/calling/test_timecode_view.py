"""Timecode in a few words, where the caller looks."""

import pytest
from books import book_of
from played import WALL0_NS, Played
from small_shows import cue, item, show

from showcaller.calling.status_view import figures, timecode_rows
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.timing.forecast import Forecast

AHEAD = Forecast(end_s=600, low_s=540, high_s=660, p_make=0.97, spare_s=300, over_s=None)
HOUR = 3600


@pytest.fixture
def run():
    songs = [
        item("s", 60, [cue("a", "1", 0)], timecode_start="01:00:00:00"),
        item("t", 60, [cue("b", "2", 0)]),
    ]
    return Played(show(songs, timecode_in={"kind": "mtc", "port": "x"}))


def timecode(run, t_s, position_s, mode="locked"):
    zero = None if position_s is None else round((t_s - position_s) * NS)
    run.at(t_s, c.Timecode(mode, zero, mode))


def row(run, t_s):
    (one,) = timecode_rows(book_of(run), round(t_s * NS))
    return one.words, one.tone


def song(run, t_s):
    rows = figures(book_of(run), round(t_s * NS), WALL0_NS, AHEAD)
    return next((r.value, r.note, r.tone) for r in rows if r.label == "song")


def report(run, t_s, state, why=""):
    run.at(t_s, c.Report(ev.TimecodePortState(state=state, why=why)))


def test_a_show_without_timecode_in_says_nothing_of_it():
    run = Played(show([item("s", 60, [cue("a", "1", 0)], timecode_start="01:00:00:00")]))
    run.go(0)
    assert timecode_rows(book_of(run), 0) == ()
    assert song(run, 5) == ("0:05", "of 1:00", "text")


def test_the_input_says_how_it_is_from_its_opening_on(run):
    assert row(Played(run.compiled.plan.show, started=False), 0) == ("not open", "quiet")
    assert row(run, 0) == ("not open yet", "missed")
    report(run, 1, "closed", "no MIDI input with 'x' in its name; there are: none")
    assert row(run, 1) == ("no MIDI input with 'x' in its name; there are: none", "missed")
    report(run, 2, "open")
    assert row(run, 2) == ("none yet", "quiet")
    timecode(run, 3, HOUR + 2.5)
    assert row(run, 5.6) == ("01:00:05 locked", "quiet")
    timecode(run, 6, HOUR + 5.5, "freewheeling")
    assert row(run, 7.3) == ("01:00:06 freewheeling 1 s", "caution")
    timecode(run, 8, None, "holding")
    assert row(run, 9) == ("lost", "quiet")
    timecode(run, 10, None, "reversing")
    assert row(run, 11) == ("runs backwards", "quiet")


def test_the_song_says_whether_timecode_leads_its_clock(run):
    run.go(0)
    assert song(run, 1) == ("0:01", "of 1:00", "text")
    timecode(run, 2, HOUR + 2.5)
    assert song(run, 2.5) == ("0:03", "on timecode", "text")
    timecode(run, 3, HOUR + 3.5, "freewheeling")
    assert song(run, 5) == ("0:05", "freewheeling 2 s", "caution")
    timecode(run, 5.5, None, "holding")
    assert song(run, 30) == ("0:06", "timecode lost: stopped", "missed")
    timecode(run, 31, HOUR + 7)
    timecode(run, 33, HOUR + 40.4)
    assert song(run, 33) == ("0:09", "timecode +31.4 s: follow?", "caution")
    # The clock stands at 9 s since it was asked; the code runs on.
    assert song(run, 36) == ("0:09", "timecode +34.4 s: follow?", "caution")
    run.at(36, c.TimecodeAnswer(False))
    assert song(run, 36) == ("0:12", "of 1:00", "text")


def test_before_its_code_has_started_a_song_counts_down(run):
    timecode(run, 0, HOUR - 4)
    run.go(1)
    assert song(run, 1.5)[:2] == ("−0:02", "on timecode")


def test_a_song_that_is_not_on_timecode_says_nothing_of_it(run):
    timecode(run, 0, HOUR)
    run.go(0)
    run.go(60)
    assert song(run, 61)[1] == "of 1:00"
