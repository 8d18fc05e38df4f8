"""A song's clock led by timecode: what moves it, what makes it stand, what is asked, what never fires."""

import pytest
from played import Played, cues_of
from small_shows import cue, follow, item, show

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.following import nearest, settled, timecode_label

FRAME_S = 1 / 25
HOUR_S = 3600.0


def by_code(ident, number, timecode, **more):
    return cue(ident, number, {"at": "timecode", "timecode": timecode}, fires="by itself", **more)


def songs(**more):
    """A song of a minute on 01:00:00:00 with cues by themselves, one called, one that follows; one on its own
    clock; one on 01:05:00:00."""
    first = item(
        "first",
        60,
        [
            cue("a", "1", 0),
            by_code("t1", "2", "01:00:01:00"),
            by_code("t5", "3", "01:00:05:00"),
            follow("f7", "4", "t5", 2),
            cue("called", "5", {"at": "timecode", "timecode": "01:00:08:00"}),
            by_code("t10", "6", "01:00:10:00"),
            by_code("t30", "7", "01:00:30:00"),
        ],
        timecode_start="01:00:00:00",
    )
    free = item("free", 60, [cue("b", "10", 0), cue("own", "11", 20, fires="by itself")])
    later = item("later", 60, [cue("d", "20", 0), by_code("u3", "21", "01:05:03:00")])
    return show([first, free, {**later, "timecode_start": "01:05:00:00"}], **{"timecode_in": MTC, **more})


MTC = {"kind": "mtc", "port": "playback"}


class Coded(Played):
    """A run with words on timecode."""

    def __init__(self, made=None):
        super().__init__(made or songs())

    def timecode(self, t_s, position_s, mode="locked"):
        """At ``t_s`` the code is at ``position_s`` from midnight."""
        return self.at(t_s, c.Timecode(mode, round((t_s - position_s) * NS), mode))

    def lose(self, t_s, mode="holding"):
        return self.at(t_s, c.Timecode(mode, None, "gone"))

    def clock(self, t_s):
        return self.state.item_ns(round(t_s * NS)) / NS


@pytest.fixture
def run():
    return Coded()


def test_a_song_started_a_little_early_waits_for_its_code_and_fires_on_it(run):
    run.go(100)
    run.timecode(100.5, HOUR_S - 2)  # two seconds of pre-roll still to come
    assert run.state.lead == "timecode"
    assert run.clock(102.5) == 0
    run.at(110)
    assert [at for name, at in run.sends if name in ("t1", "t5")] == [103.5, 107.5]


def test_code_that_runs_before_the_go_leads_from_the_go_and_what_it_passed_never_fires(run):
    run.timecode(0, HOUR_S)
    assert run.state.lead == "hand"
    events = run.go(7)
    assert [e.kind for e in events] == [
        "item_started",
        "fired",
        "timecode",
        "skipped",
        "skipped",
        "skipped",
    ]
    assert events[2] == ev.TimecodeTold(
        what="followed", code="01:00:07:00", shift_s=7, words="the clock follows timecode"
    )
    assert cues_of(events, "skipped") == ["t1", "t5", "f7"]
    run.at(40)
    assert run.left() == ["a", "t10", "t30"]


def test_what_the_code_passed_a_moment_ago_fires_late_rather_than_never(run):
    run.timecode(0, HOUR_S)
    run.go(1.4)
    run.at(1.4)
    assert run.sends[1] == ("t1", 1.0)


def test_timecode_starts_nothing_and_fires_nothing_called_or_hazardous():
    hazard = {"kind": "lift", "caution": "Stand clear.", "responsible": "I. Marr"}
    cues = [
        cue("a", "1", 0),
        cue("lift", "2", {"at": "timecode", "timecode": "01:00:03:00"}, "moves", hazard=hazard),
        cue("called", "3", {"at": "timecode", "timecode": "01:00:04:00"}),
    ]
    run = Coded(show([item("s", 60, cues, timecode_start="01:00:00:00")], timecode_in=MTC))
    run.timecode(0, HOUR_S - 5)
    run.at(30)
    assert (run.state.clock_ns, run.left()) == (None, [])
    run.go(31)
    run.at(80)
    assert run.left() == ["a"]


def test_less_than_half_a_frame_is_left_alone_and_more_is_followed(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    before = len(run.records)
    assert settled(run.compiled, run.state, 2 * NS)
    events = run.timecode(2, HOUR_S + 2 + 0.49 * FRAME_S)
    assert [e.what for e in events if isinstance(e, ev.TimecodeTold)] == ["moved"]
    assert run.clock(2) == 2
    events = run.timecode(3, HOUR_S + 3 + 0.6 * FRAME_S)
    (event,) = [e for e in events if isinstance(e, ev.TimecodeTold)]
    assert (event.what, event.shift_s) == ("followed", 0.6 * FRAME_S)
    assert run.clock(3) == 3 + 0.6 * FRAME_S
    assert len(run.records) - before == 3  # two words, and t1


def test_a_small_jump_back_fires_nothing_twice_and_one_ahead_fires_what_it_passed(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.timecode(5.5, HOUR_S + 4.7)
    run.at(6.5)
    assert run.left() == ["a", "t1", "t5"]
    run.timecode(9, HOUR_S + 9.1)
    run.at(12)
    assert run.left() == ["a", "t1", "t5", "f7", "t10"]


def test_what_follows_a_cue_waits_its_delay_whatever_the_code_does_meanwhile(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.timecode(6, HOUR_S + 6.9)  # t5 has fired at 5
    run.at(9)
    assert ("f7", 7.0) in run.sends
    run = Coded()
    run.timecode(0, HOUR_S)
    run.go(0)
    run.timecode(6, HOUR_S + 5.2)
    run.at(9)
    assert ("f7", 7.0) in run.sends


def test_a_drop_out_is_run_through_then_the_clock_stands_and_back_in_it_goes_on(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.timecode(4, HOUR_S + 4, "freewheeling")
    run.at(5.5)
    assert run.left() == ["a", "t1", "t5"]
    (event,) = [e for e in run.lose(6) if isinstance(e, ev.TimecodeTold) and e.what == "stands"]
    assert event.words == "no timecode to follow"
    assert run.clock(60) == 6
    run.at(60)
    assert run.left() == ["a", "t1", "t5"]
    run.timecode(60, HOUR_S + 6.2)  # the tape was stopped, and goes on
    assert run.state.lead == "timecode"
    assert run.clock(60) == pytest.approx(6.2)
    run.at(100)
    assert run.left() == ["a", "t1", "t5", "f7", "t10", "t30"]
    assert dict(run.sends)["t10"] == pytest.approx(63.8)


def test_code_that_was_only_not_heard_comes_back_where_the_song_is_and_names_what_was_missed(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.lose(6)
    events = run.timecode(12, HOUR_S + 12)
    assert run.clock(12) == 12
    events += run.at(12)
    assert cues_of(events, "missed") == ["t10"]
    run.at(40)
    assert run.left() == ["a", "t1", "t5", "f7", "t30"]


def test_a_go_by_hand_is_given_while_the_clock_stands(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.lose(6)
    run.go(9)
    assert run.left()[-1] == "called"
    assert run.records[-1].events[0].actual_s == 6


def test_code_that_stops_at_the_end_of_its_song_leaves_the_clock_running(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.lose(61)
    assert (run.state.lead, run.clock(65)) == ("hand", 65)


def test_a_far_jump_is_asked_about_and_taken_what_it_passed_never_fires(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    events = run.timecode(6, HOUR_S + 29.5)
    (event,) = [e for e in events if isinstance(e, ev.TimecodeTold)]
    assert (event.what, event.words) == ("asks", "timecode is 23.5 s ahead of the clock: follow it?")
    run.at(8)
    assert run.left() == ["a", "t1", "t5"], "nothing fires while it is asked"
    events = run.at(8, c.TimecodeAnswer(True))
    assert run.clock(8) == 31.5
    assert cues_of(events, "skipped") == ["t10", "t30"]
    run.at(60)
    assert run.left() == ["a", "t1", "t5", "f7"]


def test_a_far_jump_back_is_asked_about_and_fires_nothing_again(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.at(12)
    events = run.timecode(12, HOUR_S + 3)
    assert events[-1].words == "timecode is 9 s behind the clock: follow it?"
    run.at(12, c.TimecodeAnswer(True))
    run.at(60)
    assert run.left() == ["a", "t1", "t5", "f7", "t10", "t30"]
    assert dict(run.sends)["t30"] == 39


def test_a_jump_not_taken_changes_nothing_and_is_not_asked_about_again(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.timecode(9.5, HOUR_S + 29)
    run.at(9.8, c.TimecodeAnswer(False))
    run.at(10.5)
    assert run.clock(10.5) == 10.5
    assert run.left()[-1] == "t10"
    run.timecode(11, HOUR_S + 30.53)
    assert run.state.lead == "hand"
    assert (
        run.refusal(12, c.TimecodeAnswer(True))
        == "timecode has not jumped, so there is nothing to answer; carry on"
    )
    run.timecode(14, HOUR_S + 14.2)  # back where it belongs
    assert (run.state.lead, run.clock(14)) == ("timecode", pytest.approx(14.2))


def test_far_code_is_asked_about_while_a_clock_that_ran_by_itself_runs_on(run):
    run.go(0)
    events = run.timecode(3, HOUR_S + 25)
    assert events[-1].words == "timecode is 22 s ahead of the clock: follow it?"
    run.at(6)
    assert run.left() == ["a", "t1", "t5"]
    assert run.clock(6) == 6
    run.lose(6)
    assert run.state.lead == "hand"
    run.timecode(8, HOUR_S + 30.2)
    run.at(8.5, c.TimecodeAnswer(True))
    assert run.clock(8.5) == pytest.approx(30.7)
    run.at(60)
    assert run.left() == ["a", "t1", "t5", "f7"]


def test_a_question_lapses_when_the_code_is_back_in_its_place(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.timecode(6, HOUR_S + 26)
    run.timecode(6.5, HOUR_S + 6.5)
    assert (run.state.lead, run.clock(6.5)) == ("timecode", 6.5)


def test_the_code_of_another_song_asks_nothing_and_stops_this_one_only_if_it_followed(run):
    run.go(0)
    run.timecode(2, HOUR_S + 300)
    assert (run.state.lead, run.clock(2)) == ("hand", 2)
    run.timecode(3, HOUR_S + 3)
    assert run.state.lead == "timecode"
    (event,) = [e for e in run.timecode(4, HOUR_S + 300) if isinstance(e, ev.TimecodeTold)]
    assert (event.what, event.words) == ("stands", "timecode is not in this song")


def test_between_songs_code_may_go_anywhere_and_the_next_go_picks_it_up(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.go(8)
    run.go(62)  # the song that is not on timecode
    assert run.state.lead == "hand"
    run.timecode(64, HOUR_S + 299)
    run.at(83)
    assert run.left()[-1] == "own", "timecode is nothing to it"
    run.go(124)
    assert run.state.lead == "asks", "code a minute on is not taken unasked"
    run.timecode(126, HOUR_S + 300.5)
    run.at(130)
    assert run.sends[-1] == ("u3", 128.5)


def test_a_clearance_is_needed_by_what_timecode_fires_too():
    clearances = [{"kind": "yes", "id": "path", "name": "Path clear", "position": "Moves"}]
    cues = [cue("a", "1", 0), by_code("t2", "2", "01:00:02:00", needs=["path"])]
    made = show([item("s", 60, cues, timecode_start="01:00:00:00")], clearances=clearances, timecode_in=MTC)
    run = Coded(made)
    run.timecode(0, HOUR_S)
    run.go(0)
    assert cues_of(run.at(3), "missed") == ["t2"]


def test_held_nothing_fires_and_after_it_the_code_is_asked_about(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.at(4, c.Hold("rigging"))
    run.timecode(6, HOUR_S + 6.03)
    run.at(20)
    assert (run.left(), run.clock(20)) == (["a", "t1"], 4)
    assert run.refusal(20, c.TimecodeAnswer(True)) == "the show is on hold: resume first"
    events = run.at(20, c.Resume())
    assert events[-1].words == "timecode is 16 s ahead of the clock: follow it?"
    run.at(21)
    assert run.left() == ["a", "t1"]
    run.at(21, c.TimecodeAnswer(False))
    run.at(22.5)
    assert run.left() == ["a", "t1", "t5"]
    assert run.clock(22.5) == 6.5


def test_taken_over_by_hand_the_clock_runs_on_and_given_back_it_follows_again(run):
    assert run.refusal(0, c.Follow(True)) == "timecode is followed already; nothing to do"
    run.timecode(0, HOUR_S)
    run.go(0)
    run.lose(6)
    events = run.at(9.8, c.Follow(False))
    assert [e.what for e in events] == ["off", "by hand"]
    assert run.clock(9.8) == 9.8
    run.at(10.5)
    assert run.left()[-1] == "t10"
    run.timecode(12, HOUR_S + 13)
    assert (run.state.lead, run.clock(12)) == ("hand", 12)
    run.at(13, c.Follow(True))
    assert (run.state.lead, run.clock(13)) == ("timecode", 14)


def test_a_show_without_timecode_in_has_none_to_follow():
    run = Coded(show([item("s", 60, [cue("a", "1", 0)], timecode_start="01:00:00:00")]))
    assert (
        run.refusal(0, c.Follow(False))
        == "no timecode comes in to this show; set it up in the Book before the show"
    )
    assert (
        run.refusal(0, c.Timecode("locked", 0, ""))
        == "no timecode comes in to this show, so it cannot be 'locked'; set it up in the Book"
    )


def test_taking_back_the_go_that_began_a_song_gives_the_one_before_back_to_its_code(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.go(8)
    run.go(12)
    assert (run.state.item, run.state.lead) == (1, "hand")
    run.at(13, c.Back())
    assert (run.state.item, run.state.lead, run.clock(13)) == (0, "timecode", 13)
    run.at(31)
    assert run.left()[-1] == "t30"


def test_after_a_gap_without_an_engine_the_clock_runs_by_itself_until_code_is_heard(run):
    run.timecode(0, HOUR_S)
    run.go(0)
    run.at(7.5, c.Recovered(NS))
    assert (run.state.lead, run.clock(8)) == ("hand", 8)
    run.timecode(9, HOUR_S + 9.1)
    assert run.state.lead == "timecode"
    run.lose(12)
    run.at(20, c.Recovered(NS))
    assert (run.state.lead, run.clock(30)) == ("stands", pytest.approx(12.1))


def test_midnight_is_no_jump():
    cues = [cue("a", "1", 0), cue("late", "2", 20, fires="by itself")]
    run = Coded(show([item("s", 60, cues, timecode_start="23:59:50:00")], timecode_in=MTC))
    run.timecode(0, 86390)
    run.go(0)
    run.timecode(15, 5.1)  # 00:00:05, a tenth ahead
    assert run.clock(15) == pytest.approx(15.1)
    run.at(25)
    assert run.sends[-1] == ("late", pytest.approx(19.9))


@pytest.mark.parametrize(
    ("rate", "position_s", "label"),
    # Frame counts of 29.97 drop: 00:01:00;02 is frame 1800, 00:10:00;00 frame 17982 (SMPTE ST 12-1).
    [("25", 3661.04, "01:01:01:01"), ("29.97 drop", 1800 * 1001 / 30000, "00:01:00;02"),
     ("29.97 drop", 17982 * 1001 / 30000, "00:10:00;00")],
)  # fmt: skip
def test_the_log_says_where_the_code_was(rate, position_s, label):
    run = Coded(songs(timecode_rate=rate))
    run.timecode(0, position_s)
    assert timecode_label(run.compiled, run.state, 0) == label
    assert run.records[-1].events[0].code == label


def test_nearest_is_within_half_a_day():
    day = 86_400
    assert [nearest(x, 0, day) for x in (0, 10, -10, day - 5, 5 - day, 3 * day + 7)] == [0, 10, -10, -5, 5, 7]
