"""What stands around the ladder: times, running order, clearances, outlets."""

import pytest
from books import book_of
from played import WALL0_NS, Played
from small_shows import cue, item, show, two_songs

from showcaller.calling.status_view import (
    clearance_rows,
    figures,
    order_rows,
    outlet_rows,
    remaining_s,
    running_over_s,
)
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.timing.forecast import Forecast
from showcaller.values import replace

AHEAD = Forecast(end_s=600, low_s=540, high_s=660, p_make=0.97, spare_s=300, over_s=None)


def strip(run, t_s, ahead=AHEAD):
    """The strip of times at ``t_s``: label → (value, note, tone)."""
    run.at(t_s)
    rows = figures(book_of(run), round(t_s * NS), WALL0_NS, ahead)
    return {row.label: (row.value, row.note, row.tone) for row in rows}


def order(run, t_s):
    run.at(t_s)
    return order_rows(book_of(run), round(t_s * NS))


@pytest.fixture
def run():
    return Played(two_songs())


def test_before_the_first_go_no_clock_runs(run):
    times = strip(run, 30)
    assert times["show"] == ("–:––", "since the first go", "text")
    assert times["song"] == ("–:––", "of 1:00", "quiet")
    assert times["running"] == ("–:––", "", "quiet")


def test_the_show_clock_counts_from_the_first_go_and_the_song_clock_stands_in_a_hold(run):
    run.go(10)
    run.at(30, c.Hold("mic"))
    times = strip(run, 100)
    assert times["show"][0] == "1:30"
    assert times["song"] == ("0:20", "of 1:00", "text")


def test_a_song_past_its_planned_end_asks_for_attention(run):
    run.go(0)
    assert strip(run, 61)["song"] == ("1:01", "of 1:00", "caution")


def test_running_over_counts_holds_and_late_items_and_not_time_still_within_the_plan(run):
    run.go(0)
    assert strip(run, 59)["running"] == ("0:00", "on plan", "text")
    assert strip(run, 65)["running"] == ("+0:05", "over", "caution")
    for at_s in (66, 67):
        run.go(at_s)
    run.at(68, c.Clear("path", True), c.Go("first:m1", True))
    run.go(69)
    run.go(70)
    assert strip(run, 100)["running"] == ("+0:10", "over", "caution")
    run.at(100, c.Hold())
    assert strip(run, 120)["running"] == ("+0:30", "over", "caution")


def test_an_item_left_out_puts_the_show_under(run):
    run.at(1, c.Skip("first:start"))
    run.go(2)
    assert running_over_s(book_of(run), 2 * NS) == pytest.approx(0), "counted from the item it began with"
    run = Played(show([item(n, 60, []) for n in "abc"]))
    run.go(0)
    run.at(50, c.Skip("b:start"))
    assert strip(run, 55)["running"] == ("−1:00", "under", "text")


def test_what_is_left_is_worked_out_from_where_the_show_is(run):
    assert remaining_s(book_of(run), 0) == 110
    run.go(10)
    assert remaining_s(book_of(run), 30 * NS) == pytest.approx(90)
    run.at(40, c.Jump("second", "h"))
    assert remaining_s(book_of(run), 40 * NS) == pytest.approx(38)
    run.at(50, c.End())
    assert remaining_s(book_of(run), 60 * NS) == 0


def test_bar_and_beat_are_those_of_the_song():
    tempo = [{"bar": 1, "bpm": 120}]
    sections = [{"name": "Intro", "bar": 1}, {"name": "Verse", "bar": 5}]
    song = item("s", 60, [], tempo=tempo, sections=sections, downbeat_s=2)
    run = Played(show([song]))
    run.go(0)
    # 120 quarter notes a minute in 4/4: bar 5 begins 8 s after bar 1, which begins 2 s in.
    assert strip(run, 10)["bar"] == ("5 / 1", "Verse · 120 bpm", "text")
    assert strip(run, 9.9)["bar"] == ("4 / 4", "Intro · 120 bpm", "text")


def test_an_item_without_tempo_has_no_bar(run):
    run.go(0)
    assert strip(run, 5)["bar"] == ("–", "no tempo", "quiet")


def test_the_end_and_the_curfew_are_the_forecasts():
    times = strip(Played(two_songs()), 1)
    assert times["chance of making 23:00"] == ("97 %", "5:00 in hand", "text")
    assert times["projected end"][1].endswith("90 % range")
    unlikely = replace(AHEAD, p_make=0.4, spare_s=-61.0)
    assert strip(Played(two_songs()), 1, unlikely)["chance of making 23:00"] == (
        "40 %",
        "1:01 past curfew",
        "caution",
    )
    assert "chance of making 23:00" not in strip(
        Played(two_songs(curfew=None)), 1, replace(AHEAD, p_make=None)
    )


def test_once_the_run_has_ended_its_times_stand_whatever_the_clock_shows_then(run):
    run.go(10)
    run.at(50, c.End())
    book = book_of(run)
    for now_ns in (50 * NS, 500 * NS, 0):
        assert figures(book, now_ns, WALL0_NS, AHEAD)[0].value == "0:40"


def test_the_running_order_says_what_is_on_what_is_next_and_how_the_others_went(run):
    assert [r.when for r in order(run, 0)] == ["next", "later"]
    run.go(0)
    rows = order(run, 30)
    assert [(r.when, r.share, r.over) for r in rows] == [("now", 0.5, ""), ("later", 0.0, "")]
    assert next((r.when, r.share, r.over) for r in order(run, 70)) == ("now", 1.0, "+0:10")
    run.at(71, c.Jump("second"))
    rows = order(run, 72)
    assert [(r.when, r.length, r.over) for r in rows] == [("done", "1:11", "+0:11"), ("next", "0:50", "")]
    run.go(73)
    assert [r.when for r in order(run, 74)] == ["done", "now"]
    run.at(80, c.End())
    assert [(r.when, r.length, r.over) for r in order(run, 90)] == [
        ("done", "1:11", "+0:11"),
        ("done", "0:07", "−0:43"),
    ]


def test_the_next_item_is_marked_once_all_of_this_one_has_been_called():
    run = Played(show([item(n, 60, []) for n in "abc"]))
    run.go(0)
    assert [r.when for r in order(run, 10)] == ["now", "next", "later"]
    run.at(20, c.Skip("b:start"))
    assert [r.when for r in order(run, 21)] == ["now", "out", "next"]


def test_clearances_say_how_they_stand_and_whether_they_are_needed_soon():
    clearances = [
        {"kind": "yes", "id": "path", "name": "Path clear", "position": "Moves"},
        {
            "kind": "reading", "id": "gust", "name": "Gust", "position": "Crane", "unit": "m/s", "limit": 9,
            "stale_after_s": 30, "source": "jib",
        },
    ]  # fmt: skip
    items = [item("a", 60, []), item("b", 60, []), item("c", 60, [cue("m", "1", 10, needs=["gust"])])]
    run = Played(show(items, clearances=clearances))
    run.go(0)

    def rows(t_s):
        return clearance_rows(book_of(run), round(t_s * NS))

    assert [(r.key, r.name, r.there, r.words, r.needed, r.reading) for r in rows(1)] == [
        ("1", "Path clear", False, "waiting for Moves", False, None),
        ("2", "Gust", False, "waiting for Crane", False, "m/s"),
    ]
    run.at(2, c.Clear("path", True), c.Clear("gust", True, 4.5), c.Skip("b:start"))
    assert [(r.there, r.words, r.needed) for r in rows(3)] == [
        (True, "clear", False),
        (True, "4.5 of 9 m/s", True),  # the item after this one is c, since b is left out
    ]
    assert not rows(33)[1].there
    run.at(34, c.Clear("gust", True, 12))
    assert rows(35)[1].words == "12 m/s is over 9"
    run.at(36, c.OverrideClearance("gust", "seen", "I. Marr"))
    assert (rows(500)[1].there, rows(500)[1].words) == (True, "overridden")


def test_after_the_end_a_reading_is_as_old_as_it_was_then():
    gust = {
        "kind": "reading", "id": "gust", "name": "Gust", "position": "Crane", "unit": "m/s", "limit": 9,
        "stale_after_s": 30, "source": "jib",
    }  # fmt: skip
    run = Played(show([item("a", 60, [cue("m", "1", 10, needs=["gust"])])], clearances=[gust]))
    run.go(0)
    run.at(2, c.Clear("gust", True, 4.5))
    run.at(62, c.End())
    (row,) = clearance_rows(book_of(run), 0)
    assert not row.there
    assert row.who.endswith("1:00 ago")


def test_outlets_say_their_last_word_and_muted_before_anything_else():
    outlets = [{"kind": "osc_udp", "id": x, "name": x.upper(), "port": 9000} for x in "uvw"]
    run = Played(two_songs(outlets=outlets))
    run.at(1, c.Report(ev.MessagesSent(outlet="u", cue="a", late_ms=0.34, messages=1)))
    run.at(1, c.Report(ev.OutletState(outlet="v", state="closed", why="no route to host")))
    assert [(r.words, r.tone) for r in outlet_rows(book_of(run))] == [
        ("0.3 ms", "quiet"),
        ("no route to host", "missed"),
        ("ready", "quiet"),
    ]
    run.at(2, c.Mute(True, "v"))
    assert outlet_rows(book_of(run))[1].words == "muted"


def test_an_item_that_is_not_in_the_plan_stands_in_the_running_order_with_its_length():
    run = Played(show([item(n, 60, [cue(f"c{n}", "1" if n == "a" else "2", 0)]) for n in "ab"]))
    run.go(0)
    run.at(60, c.Insert("A talk"))
    rows = order(run, 75)
    assert [(r.name, r.length, r.over, r.when) for r in rows] == [
        ("A", "1:00", "", "done"), ("A talk", "0:15", "+0:15", "now"), ("B", "1:00", "", "next"),
    ]  # fmt: skip
    assert strip(run, 75)["not in the plan"] == ("0:15", "A talk", "caution")
    run.go(80)
    rows = order(run, 90)
    assert [(r.name, r.length, r.when) for r in rows][1:] == [
        ("A talk", "0:20", "done"),
        ("B", "1:00", "now"),
    ]


def test_an_item_slipped_in_after_a_jump_stands_before_the_item_that_is_next_and_after_all_at_the_end():
    run = Played(show([item(n, 60, [cue(f"c{n}", "1" if n == "a" else "2", 0)]) for n in "ab"]))
    run.go(0)
    run.at(20, c.Jump("b"), c.Insert("A talk"))
    assert [(r.name, r.when) for r in order(run, 30)] == [("A", "done"), ("A talk", "now"), ("B", "next")]
    run.go(40)
    run.at(100, c.Insert("Encore"))
    rows = order(run, 105)
    assert [(r.name, r.when) for r in rows][2:] == [("B", "done"), ("Encore", "now")]
