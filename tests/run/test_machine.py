"""The run's state machine: what fires and when, what is refused, and how a place is moved."""

import pytest
from played import Played, cues_of
from small_shows import cue, follow, item, show, two_songs

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.calls_with import admitted
from showcaller.run.clearing import standing

# Two songs: a@0 | b+v1@10, c 2 s after b, d 1.5 s after c | e@15 by itself | look by eye | m1@30, hazardous,
# needs "path" | f@40; then g@0 | h@12, i 1 s after h.


@pytest.fixture
def run():
    return Played(two_songs())


def second_song(run, t_s=60.0):
    """Play the first song through and begin the second at ``t_s``."""
    for at_s in (0, 10, 20):
        run.go(at_s)
    run.at(29, c.Clear("path", True, None, "Moves"))
    run.go(30, confirmed=True)
    run.go(40)
    run.go(t_s)


def test_the_first_go_starts_the_item_and_its_clock(run):
    events = run.go(5)
    assert [e.kind for e in events] == ["item_started", "fired"]
    assert events[0] == ev.ItemStarted(item="first", at_s=0, planned_start_s=0)
    assert events[1] == ev.Fired(item="first", cue="a", go="first:start", planned_s=0, actual_s=0, by="go")
    assert run.state.item_ns(7_000_000_000) == 2_000_000_000
    assert run.state.begun_ns == 5_000_000_000


def test_a_go_fires_only_the_next_and_never_two(run):
    run.go(0)
    assert (
        run.refusal(1, c.Go("first:start"))
        == "that is no longer the next go: read the line in the box, then press go again"
    )
    assert (
        run.refusal(1, c.Go("first:f"))
        == "that is no longer the next go: read the line in the box, then press go again"
    )
    assert run.left() == ["a"]


def test_one_go_fires_all_cues_of_its_instant(run):
    run.go(0)
    fired = [e for e in run.go(10.25) if isinstance(e, ev.Fired)]
    assert [(e.cue, e.go, e.planned_s, e.actual_s) for e in fired] == [
        ("b", "first:b", 10, 10.25),
        ("v1", "first:b", 10, 10.25),
    ]


def test_follow_ons_count_from_the_instant_their_cue_really_fired_also_in_a_chain(run):
    run.go(0)
    run.go(10.25)
    events = run.at(14)
    assert [(e.cue, e.actual_s, e.by) for e in events] == [
        ("c", 12.25, "itself"),
        ("d", 13.75, "itself"),
    ]
    assert run.sends[-2:] == [("c", 12.25), ("d", 13.75)]


def test_an_automatic_cue_fires_at_its_instant_on_the_items_clock(run):
    run.go(100)
    run.at(114.999)
    assert run.status("e") == "waiting"
    assert run.next_ns == 115_000_000_000
    assert cues_of(run.at(115), "fired") == ["e"]


def test_a_cue_found_a_little_late_fires_and_its_message_knows_when_it_was_due(run):
    run.go(0)
    run.step(c.Tick(), 15_400_000_000)
    assert run.sends[-1] == ("e", 15)
    assert run.records[-1].events[0].actual_s == 15.4


def test_a_cue_found_more_than_a_second_late_is_named_missed_and_what_follows_it_is_named_too():
    run = Played(
        show(
            [item("s", 60, [cue("a", "1", 0), cue("e", "2", 5, fires="by itself"), follow("x", "3", "e", 1)])]
        )
    )
    run.go(0)
    out = run.step(c.Tick(), 6_500_000_000)
    assert out.events == [
        ev.Missed(item="s", cue="e", planned_s=5, late_s=1.5, why="its time had passed"),
        ev.Skipped(item="s", cue="x", why="what it follows did not fire"),
    ]
    assert run.left() == ["a"]
    assert run.next_ns is None


def test_a_cue_seen_by_eye_waits_for_its_go_however_long(run):
    run.go(0)
    run.go(10)
    run.at(55)
    assert run.status("look") == "waiting"
    assert cues_of(run.go(55), "fired") == ["look"]


def test_a_hold_stops_the_items_clock_and_shifts_everything_after_it(run):
    run.go(0)
    held = run.at(13, c.Hold("rigging"))
    assert held == [ev.Held(reason="rigging", item="first", at_s=13)]
    assert run.state.item_ns(40_000_000_000) == 13_000_000_000
    run.at(43, c.Resume())
    assert run.records[-1].events[0] == ev.Resumed(held_s=30, reason="rigging")
    assert cues_of(run.at(44.9), "fired") == []
    fired = run.at(45)
    assert [(e.cue, e.actual_s) for e in fired] == [("e", 15)]


def test_a_follow_on_waits_out_a_hold(run):
    run.go(0)
    run.go(10)
    run.at(11, c.Hold())
    run.at(21, c.Resume())
    assert [(e.cue, e.actual_s) for e in run.at(22)] == [("c", 12)]


def test_nothing_fires_while_held(run):
    run.go(0)
    run.at(14, c.Hold())
    assert run.next_ns is None
    assert run.step(c.Tick(), 100_000_000_000).events == []
    assert run.refusal(101, c.Go("first:b")) == "the show is on hold: resume first"
    assert run.left() == ["a"]


def test_a_hold_between_items_is_possible_and_starts_no_clock(run):
    held = run.at(3, c.Hold("doors"))
    assert held[0].at_s is None
    run.at(9, c.Resume())
    assert run.state.clock_ns is None
    run.go(10)
    assert run.status("a") == "fired"


def test_leaving_out_a_go_leaves_out_what_follows_it_and_names_every_cue(run):
    run.go(0)
    events = run.at(8, c.Skip("first:b"))
    assert [(e.cue, e.why) for e in events] == [
        ("b", "skipped"),
        ("v1", "skipped"),
        ("c", "what it follows did not fire"),
        ("d", "what it follows did not fire"),
    ]
    assert run.next_go() == "first:look"
    run.at(20)
    assert run.left() == ["a", "e"]


def test_leaving_out_an_items_start_leaves_out_the_item(run):
    events = run.at(1, c.Skip("first:start"))
    assert events == [ev.ItemSkipped(item="first")]
    run.go(2)
    assert run.left() == ["g"]


def test_only_the_next_go_can_be_left_out(run):
    assert (
        run.refusal(1, c.Skip("first:b"))
        == "that is no longer the next go: read the line in the box, then press go again"
    )


def test_the_next_items_start_ends_the_item_and_names_what_had_not_fired():
    late = item("s", 60, [cue("a", "1", 0), cue("e", "2", 50, fires="by itself")])
    run = Played(show([late, item("t", 10, [cue("z", "3", 0)])]))
    run.go(0)
    events = run.go(45.5)
    assert [e.kind for e in events] == ["missed", "item_ended", "item_started", "fired"]
    assert events[0] == ev.Missed(item="s", cue="e", planned_s=50, late_s=None, why="the next item began")
    assert events[1] == ev.ItemEnded(item="s", length_s=45.5, planned_s=60)
    assert events[2] == ev.ItemStarted(item="t", at_s=0, planned_start_s=60)


def test_an_items_length_is_without_its_holds(run):
    run.go(0)
    run.at(5, c.Hold())
    run.at(25, c.Resume())
    run.at(30, c.End())
    ended = next(e for e in run.records[-1].events if isinstance(e, ev.ItemEnded))
    assert ended.length_s == 10


def test_a_jump_forward_in_the_item_that_is_on_leaves_its_clock_running(run):
    run.go(0)
    events = run.at(9, c.Jump("first", "f"))
    assert events[0] == ev.Jumped(from_item="first", to_item="first", cue="f")
    assert cues_of(events, "skipped") == ["b", "v1", "look", "m1", "c", "d"]
    assert run.next_go() == "first:f"
    assert cues_of(run.at(16), "fired") == ["e"]
    fired = run.go(41)
    assert fired[0].actual_s == 41


def test_a_jump_back_stands_cued_up_and_the_next_go_starts_the_clock_at_its_own_instant(run):
    run.go(0)
    run.go(10)
    run.go(20)
    events = run.at(22, c.Jump("first", "b"))
    assert [e.kind for e in events] == ["jumped", "item_ended", "taken_back"]
    assert cues_of(events, "taken_back") == ["b", "v1", "c", "d", "e", "look"]
    assert run.state.clock_ns is None
    assert run.next_go() == "first:b"
    events = run.go(100)
    assert events[0].at_s == 10
    assert [(e.cue, e.actual_s) for e in run.at(105)] == [("c", 12), ("d", 13.5), ("e", 15)]


def test_a_jump_back_inside_a_running_song_leaves_its_clock_as_the_band_plays_on(run):
    run.go(0)
    run.go(10)
    run.go(20)
    clock = run.state.clock_ns
    events = run.at(22, c.Jump("first", "b", cue_up=False))
    assert [e.kind for e in events] == ["jumped", "taken_back"]
    assert run.state.clock_ns == clock
    assert run.next_go() == "first:b"
    assert "e" not in cues_of(events, "taken_back"), "what fired by the clock has fired"
    assert cues_of(run.at(25), "fired") == []
    events = run.go(26)
    assert not [e for e in events if isinstance(e, ev.ItemStarted)], "the clock was never stopped"
    assert next(e for e in events if isinstance(e, ev.Fired)).actual_s == 26


def test_after_a_jump_back_the_items_after_it_come_again_with_all_that_fires_by_itself(run):
    run.go(0)
    run.go(10)
    run.at(17, c.Jump("second"))
    run.go(18)
    run.at(20, c.Standby("second:standby:h", ("h",)))
    run.go(30)
    events = run.at(35, c.Jump("first", "f"))
    assert [(e.item, e.cues) for e in events if isinstance(e, ev.TakenBack)] == [("second", ("g", "h", "i"))]
    run.go(40)
    run.go(60)
    run.at(62, c.Standby("second:standby:h", ("h",)))
    run.go(72)
    run.at(80)
    assert run.left()[-4:] == ["f", "g", "h", "i"]


def test_a_jump_into_another_item_ends_the_one_that_is_on(run):
    run.go(0)
    events = run.at(5, c.Jump("second", "h"))
    assert [e.kind for e in events] == ["jumped", *["missed"] * 3, "item_ended", "skipped"]
    assert (cues_of(events, "missed"), cues_of(events, "skipped")) == (["c", "d", "e"], ["g"])
    events = run.go(8)
    assert events[0] == ev.ItemStarted(item="second", at_s=12, planned_start_s=60)
    assert cues_of(run.at(9), "fired") == ["i"]


def test_picking_an_item_up_midway_names_what_would_have_fired_before():
    cues = [
        cue("a", "1", 0),
        cue("e", "2", 5, fires="by itself"),
        follow("x", "3", "e", 1),
        cue("b", "4", 20),
    ]
    run = Played(show([item("s", 60, cues)]))
    run.at(1, c.Jump("s", "b"))
    events = run.go(2)
    assert [(e.cue, e.why) for e in events if isinstance(e, ev.Skipped)] == [
        ("e", "picked up after it"),
        ("x", "what it follows did not fire"),
    ]
    assert run.next_ns is None


def test_a_jump_to_a_cue_that_fires_by_itself_stops_at_the_go_before_it(run):
    run.at(1, c.Jump("first", "e"))
    assert run.next_go() == "first:b"


@pytest.mark.parametrize(
    ("jump", "sentence"),
    [
        (c.Jump("third"), "no item 'third' in this show; name one that is in the running order"),
        (c.Jump("first", "h"), "no cue 'h' in 'First'; name one of that item"),
        (c.Jump("first", "nothing"), "no cue 'nothing' in 'First'; name one of that item"),
        (c.Jump("first", "b"), "that cue is the next go already; nothing to do"),
    ],
)
def test_a_jump_to_nowhere_is_refused(run, jump, sentence):
    run.go(0)
    assert run.refusal(1, jump) == sentence


def test_an_ordinary_go_taken_back_stands_as_next_again_with_what_followed_it(run):
    run.go(0)
    run.go(10)
    run.at(12.5)
    events = run.at(12.5, c.Back())
    assert events == [
        ev.TakenBack(
            item="first",
            cues=(
                "b",
                "v1",
                "c",
            ),
        )
    ]
    assert [run.status(x) for x in ("b", "v1", "c", "d")] == ["waiting"] * 4
    assert run.next_go() == "first:b"
    assert run.state.item_ns(12_500_000_000) == 12_500_000_000, "the clock has not stopped"
    run.go(13)
    assert [(e.cue, e.actual_s) for e in run.at(17)] == [("c", 15), ("e", 15), ("d", 16.5)]


def test_what_fired_by_itself_stays_fired_when_a_go_is_taken_back(run):
    run.go(0)
    run.go(10)
    run.at(16, c.Back())
    assert run.status("e") == "fired"


def test_nobody_stands_by_still_for_a_go_they_have_done_and_its_standby_is_to_be_called_again(run):
    run.go(0)
    run.at(2, c.Standby("first:standby:b", ("b", "v1")), c.Answer(("lights",)))
    run.at(3, c.Standby("first:standby:c", ("c",)), c.Standby("first:warning:b", ("b",), "warning"))
    run.go(10)
    run.at(11, c.Back())
    assert (run.status("b"), run.status("v1")) == ("waiting", "waiting")
    assert run.state.said == {"first:standby:c", "first:warning:b"}
    assert run.status("c") == "standby", "asked for a later go, and not fired by this one"
    run.at(12, c.Standby("first:standby:b", ("b", "v1")), c.Answer(("lights",)))
    assert run.status("b") == "answered"


def test_a_standby_for_several_gos_is_called_again_for_the_one_that_was_taken_back(run):
    run.go(0)
    run.at(2, c.Standby("first:standby:a", ("b", "v1", "c")), c.Answer())
    run.go(10)
    run.at(11, c.Back())
    assert "first:standby:a" not in run.state.said
    assert (run.status("b"), run.status("c")) == ("waiting", "answered")


def test_taking_back_an_items_start_lets_the_item_before_go_on(run):
    second_song(run, 50)
    events = run.at(55, c.Back())
    assert events == [ev.TakenBack(item="second", cues=("g",))]
    assert run.state.item == 0
    assert run.state.item_ns(55_000_000_000) == 55_000_000_000, "as if it had never stopped"
    assert run.next_go() == "second:start"
    assert run.go(58)[0].length_s == 58


def test_taking_back_a_start_brings_back_what_the_start_had_cut_off():
    cues = [cue("a", "1", 0), cue("e", "2", 30, fires="by itself"), cue("l", "3", 50, fires="by itself")]
    run = Played(show([item("s", 60, cues), item("t", 10, [cue("z", "4", 0)])]))
    run.go(0)
    assert cues_of(run.go(29), "missed") == ["e", "l"]
    run.at(45, c.Back())
    events = run.at(51, c.Tick())
    assert cues_of(events, "missed") == ["e"], "its time has passed meanwhile"
    assert cues_of(events, "fired") == ["l"]


def test_a_hold_between_a_start_and_its_taking_back_shifts_the_item_before_as_well(run):
    second_song(run, 50)
    run.at(52, c.Hold())
    run.at(62, c.Resume())
    run.at(63, c.Back())
    assert run.state.item_ns(63_000_000_000) == 53_000_000_000


def test_taking_back_the_very_first_go_cues_the_show_up_again(run):
    run.go(5)
    run.at(6, c.Back())
    assert run.state.clock_ns is None
    assert run.status("a") == "waiting"
    assert run.go(20)[0].kind == "item_started"


def test_taking_back_a_go_brings_back_what_was_left_out_since(run):
    run.go(0)
    run.go(10)
    run.at(11, c.Skip("first:look"))
    events = run.at(11.5, c.Back())
    assert cues_of(events, "taken_back") == ["b", "v1", "look"]
    run.go(12)
    assert run.next_go() == "first:look"
    assert cues_of(run.go(20), "fired") == ["look"]


def test_what_follows_a_go_left_out_fires_again_once_the_leaving_out_is_taken_back(run):
    run.go(0)
    run.at(5, c.Skip("first:b"))
    run.at(6, c.Back())
    run.go(7)
    run.go(17)
    assert cues_of(run.at(21), "fired") == ["c", "d"]


def test_a_standby_for_a_later_item_outlives_the_taking_back_of_a_start():
    items = [item(n, 10, [cue(n, str(k + 1), 0)]) for k, n in enumerate("abc")]
    run = Played(show(items))
    run.go(0)
    run.go(10)
    run.at(11, c.Standby("c:standby:c", ("c",)))
    run.at(12, c.Back())
    assert run.status("c") == "standby"


def test_goes_are_taken_back_one_by_one_but_not_past_a_jump(run):
    run.go(0)
    run.go(10)
    run.at(11, c.Back(), c.Back())
    assert run.next_go() == "first:start"
    assert run.refusal(12, c.Back()) == "no go has been given yet, so there is none to take back"
    run.go(13)
    run.at(14, c.Jump("second"))
    assert run.refusal(15, c.Back()) == "no go has been given yet, so there is none to take back"


def test_when_every_go_has_been_given_there_is_none_left(run):
    second_song(run)
    run.go(72)
    assert (
        run.refusal(80, c.Go("second:h"))
        == "every go of this show has been given: jump back to a cue, or end the show"
    )


def test_standby_and_answer_are_kept_for_each_cue(run):
    said = run.at(1, c.Standby("first:standby:b", ("b", "v1")))
    assert said == [
        ev.LineSaid(
            what="standby",
            item="first",
            line="first:standby:b",
            cues=(
                "b",
                "v1",
            ),
        )
    ]
    assert run.at(2, c.Answer(("video",))) == [ev.Answered(departments=("video",), cues=("v1",))]
    assert run.at(3, c.Answer()) == [ev.Answered(departments=("lights",), cues=("b",))]
    why = run.refusal(4, c.Answer())
    assert why == "Lights was not asked yet: call the standby first"


def test_a_department_answers_for_itself_alone_and_says_who(run):
    run.at(1, c.Standby("first:standby:b", ("b", "v1")))
    assert run.at(2, c.StandBy("video", "Video · Kim")) == [
        ev.Answered(departments=("video",), cues=("v1",), who="Video · Kim")
    ]
    assert (run.status("b"), run.status("v1")) == ("standby", "answered")
    again = run.refusal(3, c.StandBy("video", "Video · Kim"))
    assert again == "no standby waits for Video; nothing to acknowledge"
    assert run.refusal(3, c.StandBy("fog", "Fog · Kim")).startswith("no department 'fog' in this show")
    assert run.refusal(3, c.StandBy("lights", " ")).startswith("standing by needs the name")


def test_a_desk_without_the_calls_may_not_answer_but_a_department_for_itself_may(run):
    run = Played(two_songs(), started=False)
    run.at(0, c.Start("Ada", desk="one"))
    assert isinstance(admitted(run.state, "", c.Answer(("lights",))), c.NotCalling)
    given = c.StandBy("lights", "Lights · Kim")
    assert admitted(run.state, "", given) is given
    assert isinstance(admitted(run.state, "", c.Go("first:start")), c.NotCalling)


def test_a_standby_for_the_next_item_can_be_answered_before_the_last_go_of_this_one(run):
    for at_s in (0, 10, 20):
        run.go(at_s)
    run.at(25, c.Standby("second:standby:g", ("g",)))
    assert cues_of(run.at(26, c.Answer()), "answered") == ["g"]


def test_a_warning_is_said_and_asks_for_no_answer(run):
    run.at(1, c.Standby("first:warning:b", ("b",), "warning"))
    assert run.status("b") == "waiting"


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (c.Standby("x", ("nothing",)), "no cue 'nothing' in this show; name one that is in the Book"),
        (c.Standby("x", ()), "a standby needs the cues it is for"),
        (c.Standby("x", ("b",), "hint"), "'hint' cannot be called; call warning or standby"),
        (c.Standby("said", ("b",)), "that line has been called already; the next one is in the box"),
        (c.Start("Ada"), "the show is open already"),
        (c.Resume(), "the show is not on hold; nothing to resume"),
        (c.WriteNote("  "), "a note needs a word or two: type what happened"),
        (c.Mute(True, "fog"), "no output 'fog' in this show; name one from the set-up page"),
        (c.Clear("fog", True), "no clearance 'fog' in this show; name one from the set-up page"),
        (
            c.OverrideClearance("fog", "seen", "Ada"),
            "no clearance 'fog' in this show; name one from the set-up page",
        ),
        (
            c.OverrideClearance("path", " ", "Ada"),
            "an override needs a reason and the name of who is entitled to give it",
        ),
        (
            c.OverrideClearance("path", "seen", ""),
            "an override needs a reason and the name of who is entitled to give it",
        ),
    ],
)
def test_what_cannot_be_done_is_refused_in_a_sentence(run, given, sentence):
    run.at(1, c.Standby("said", ("a",)))
    assert run.refusal(2, given) == sentence


def test_before_the_start_nothing_moves_but_clearances_mutes_and_notes(run):
    idle = Played(two_songs(), started=False)
    commands = (c.Go("first:start"), c.Hold(), c.Skip("first:start"), c.Jump("second"), c.Back(), c.Answer())
    for given in commands:
        assert idle.refusal(1, given) == "no show is open: open one first"
    idle.at(1, c.Clear("path", True), c.Mute(True), c.WriteNote("doors"))
    assert [r.events[0].kind for r in idle.records[-3:]] == ["cleared", "muted", "note"]


def test_a_second_hold_is_refused(run):
    run.at(1, c.Hold())
    assert run.refusal(2, c.Hold()) == "the show is on hold already: resume, or give the reason"


def test_a_hazardous_go_needs_its_clearance_and_the_second_key(run):
    for at_s in (0, 10, 20):
        run.go(at_s)
    hazard = c.Go("first:m1")
    assert run.refusal(25, c.Go("first:m1", True)) == "Moves 1 needs 'Path clear': waiting for Moves"
    run.at(26, c.Clear("path", True, None, "Moves"))
    assert run.refusal(27, hazard) == "Moves 1 is hazardous (moving scenery): it needs the second key as well"
    run.at(28, c.Clear("path", False, None, "Moves"))
    assert run.refusal(29, c.Go("first:m1", True)) == "Moves 1 needs 'Path clear': withdrawn by Moves"
    run.at(30, c.Clear("path", True, None, "Moves"), c.Go("first:m1", True))
    assert run.left()[-1] == "m1"


def test_an_override_counts_until_the_next_word_on_the_clearance(run):
    for at_s in (0, 10, 20):
        run.go(at_s)
    events = run.at(25, c.OverrideClearance("path", "seen it myself", "I. Marr"))
    assert events[-1] == ev.Overridden(clearance="path", reason="seen it myself", by="I. Marr")  # fmt: skip
    run.at(26, c.Clear("path", False, None, "Moves"))
    assert "withdrawn" in run.refusal(27, c.Go("first:m1", True))
    run.at(28, c.OverrideClearance("path", "seen it myself", "I. Marr"), c.Go("first:m1", True))
    assert run.left()[-1] == "m1"


def windy():
    """A crane cue that needs a gust reading of at most 9 m/s, not older than 30 s."""
    gust = {
        "kind": "reading", "id": "gust", "name": "Gust at the hook", "position": "Crane", "unit": "m/s",
        "limit": 9, "stale_after_s": 30, "source": "anemometer on the jib",
    }  # fmt: skip
    cues = [cue("a", "1", 0), cue("m", "1", 10, "moves", needs=["gust"])]
    run = Played(show([item("s", 60, cues)], clearances=[gust]))
    run.go(0)
    return run


def test_a_reading_must_be_young_and_within_its_limit():
    run = windy()
    go = c.Go("s:m")
    assert run.refusal(1, go) == "Moves 1 needs 'Gust at the hook': waiting for Crane"
    assert (
        run.refusal(2, c.Clear("gust", True))
        == "'Gust at the hook' needs its reading in m/s: type the figure"
    )
    run.at(3, c.Clear("gust", True, 9.2, "Crane"))
    assert run.refusal(4, go) == "Moves 1 needs 'Gust at the hook': 9.2 m/s is over 9"
    run.at(5, c.Clear("gust", True, 6.5, "Crane"))
    assert "31 s old" in run.refusal(36, go)
    run.at(37, c.Clear("gust", True, 9.0, "Crane"), go)
    assert run.left() == ["a", "m"]


def test_a_reading_exactly_as_old_as_allowed_still_counts():
    run = windy()
    run.at(1, c.Clear("gust", True, 5, "Crane"))
    run.at(31, c.Go("s:m"))
    assert run.left() == ["a", "m"]


def test_a_distance_must_be_at_least_its_limit():
    lightning = {
        "kind": "reading", "id": "flash", "name": "Lightning", "position": "Watch", "unit": "km",
        "limit": 16, "side": "at least", "stale_after_s": 300, "source": "the venue's plan",
    }  # fmt: skip
    cues = [cue("a", "1", 0), cue("m", "1", 10, "moves", needs=["flash"])]
    run = Played(show([item("s", 60, cues)], clearances=[lightning]))
    run.go(0)
    run.at(3, c.Clear("flash", True, 15.5, "Watch"))
    assert run.refusal(4, c.Go("s:m")) == "Moves 1 needs 'Lightning': 15.5 km is under 16"
    run.at(5, c.Clear("flash", True, 16, "Watch"))
    assert standing(run.compiled, run.state, "flash", run.t_ns) == (True, "16 km, at least 16 km")
    run.at(6, c.Go("s:m"))
    assert run.left() == ["a", "m"]


def test_a_cue_that_fires_by_itself_does_not_without_the_clearance_it_needs():
    path = {"kind": "yes", "id": "path", "name": "Path clear", "position": "Moves"}
    cues = [
        cue("a", "1", 0),
        cue("m", "1", 10, "moves", fires="by itself", needs=["path"]),
        follow("n", "2", "m", 1, department="moves"),
    ]
    run = Played(show([item("s", 60, cues)], clearances=[path]))
    run.go(0)
    events = run.at(20)
    assert run.left() == ["a"]
    assert events[0].why == "Moves 1 needs 'Path clear': waiting for Moves"
    assert [e.kind for e in events] == ["missed", "skipped"]
    cleared = Played(show([item("s", 60, cues)], clearances=[path]))
    cleared.go(0)
    cleared.at(5, c.Clear("path", True))
    assert cues_of(cleared.at(20), "fired") == ["m", "n"]


def test_a_note_is_stamped_with_the_place():
    tempo = [{"bar": 1, "bpm": 120}]
    run = Played(show([item("s", 60, [cue("a", "1", 0), cue("b", "2", 4)], tempo=tempo)]))
    assert run.at(1, c.WriteNote(" doors late ")) == [
        ev.NoteTaken(text="doors late", to="", item="s", at_s=None, bar=None, beat=None, cue=None, about="")
    ]
    run.go(10)
    run.go(14)
    # 120 quarter notes a minute in 4/4: a bar is 2 s, a beat half a second; 7.6 s is bar 4, beat 4.
    assert run.at(17.6, c.WriteNote("haze")) == [
        ev.NoteTaken(text="haze", to="", item="s", at_s=7.6, bar=4, beat=4, cue="b", about="")
    ]
    hurt = run.at(18, c.WriteNote("a pinched finger", about="injury"))
    assert (hurt[0].text, hurt[0].about) == ("a pinched finger", "injury")
    assert "'gossip'" in run.refusal(19, c.WriteNote("x", about="gossip"))


def test_outlets_can_be_muted_one_by_one_and_all():
    outlets = [
        {"kind": "osc_udp", "id": "u", "name": "U", "port": 9000},
        {"kind": "osc_udp", "id": "w", "name": "W", "port": 9001, "muted": True},
    ]
    run = Played(two_songs(outlets=outlets))
    assert (run.state.is_muted("u"), run.state.is_muted("w")) == (False, True)
    run.at(1, c.Mute(True, "u"), c.Mute(False, "w"))
    assert (run.state.is_muted("u"), run.state.is_muted("w")) == (True, False)
    run.at(2, c.Mute(True))
    assert run.state.is_muted("w")
    run.at(3, c.Mute(False))
    assert (run.state.is_muted("u"), run.state.is_muted("w")) == (True, False)
    rehearsal = Played(two_songs(outlets=outlets), started=False)
    rehearsal.at(0, c.Start("Ada", muted=True))
    assert rehearsal.state.is_muted("u")


def test_the_end_closes_the_item_and_says_how_long_the_show_was(run):
    run.go(10)
    run.at(14, c.Hold("storm"))
    events = run.at(20, c.End("called off"))
    assert [e.kind for e in events] == ["resumed", "missed", "missed", "missed", "item_ended", "run_ended"]
    assert cues_of(events, "missed") == ["c", "d", "e"]
    assert events[-1] == ev.RunEnded(why="called off", show_s=10)
    assert run.next_ns is None


def test_after_the_end_only_notes_and_late_words_are_taken(run):
    run.at(1, c.End())
    for given in (c.Go("first:start"), c.Hold(), c.Jump("second"), c.Start(), c.End()):
        assert run.refusal(2, given) == "the show has ended: open another to go on"
    assert run.at(3, c.WriteNote("good one"))[0].kind == "note"
    assert run.step(c.Tick(), 90_000_000_000).events == []


def test_a_run_may_be_ended_before_it_was_started():
    idle = Played(two_songs(), started=False)
    assert idle.at(1, c.End("wrong show")) == [ev.RunEnded(why="wrong show", show_s=None)]


def test_an_engine_that_is_back_says_what_had_just_fired(run):
    run.go(0)
    run.go(10)
    out = run.step(c.Recovered(1_200_000_000), 11_200_000_000)
    assert out.events == [
        ev.EngineBack(
            gap_s=1.2,
            last_cues=(
                "b",
                "v1",
            ),
        )
    ]
    assert run.state.phase == "running"
    assert run.next_ns == 12_000_000_000


def test_after_a_restart_of_the_machine_the_show_is_held(run):
    run.go(0)
    out = run.step(c.Recovered(60_000_000_000, rebooted=True), 70_000_000_000)
    assert [e.kind for e in out.events] == ["recovered", "held"]
    assert out.events[1].reason == "the machine was restarted"
    assert run.next_ns is None
    run.at(80, c.Resume())
    assert cues_of(run.at(80, c.Tick()), "missed") == ["e"]


def test_a_restart_of_the_machine_during_a_hold_leaves_the_hold_as_it_was(run):
    run.go(0)
    run.at(5, c.Hold("rigging"))
    out = run.step(c.Recovered(60_000_000_000, rebooted=True), 70_000_000_000)
    assert [e.kind for e in out.events] == ["recovered"]
    assert (run.state.phase, run.state.hold_reason) == ("held", "rigging")


def test_an_outlets_word_is_logged_and_moves_nothing(run):
    run.go(0)
    before = run.state
    event = ev.MessagesFailed(outlet="u", cue="a", why="connection refused")
    assert run.step(c.Report(event), 1_000_000_000).events == [event]
    assert run.state == before
    assert run.next_ns == 15_000_000_000


def test_a_moment_where_several_cues_are_due_fires_them_in_planned_order():
    cues = [
        cue("a", "1", 0),
        cue("x", "2", 5, fires="by itself"),
        cue("y", "3", 5, fires="by itself"),
        follow("z", "4", "x", 0),
        cue("w", "5", 5.5, fires="by itself"),
    ]
    run = Played(show([item("s", 60, cues)]))
    run.go(0)
    run.step(c.Tick(), 5_600_000_000)
    assert run.left() == ["a", "x", "y", "w", "z"]
    assert [due for _, due in run.sends[1:]] == [5, 5, 5.5, 5.6], "z counts from when x really fired"


def test_a_yes_is_used_up_by_the_hazard_it_let_go_and_a_reading_is_not():
    hazard = {"kind": "lift", "caution": "Stand clear.", "responsible": "I. Marr"}
    needs = {"hazard": hazard, "needs": ["path", "gust"]}
    cues = [cue("a", "1", 0), cue("m1", "1", 10, "moves", **needs), cue("m2", "2", 20, "moves", **needs)]
    clearances = [
        {"kind": "yes", "id": "path", "name": "Path clear", "position": "Moves"},
        {
            "kind": "reading", "id": "gust", "name": "Gust", "position": "Crane", "unit": "m/s", "limit": 9,
            "stale_after_s": 600, "source": "letter",
        },
    ]  # fmt: skip
    run = Played(show([item("s", 60, cues)], clearances=clearances))
    run.go(0)
    assert run.refusal(5, c.Go("s:m1", True)) == (
        "Moves 1 needs 'Path clear': waiting for Moves; 'Gust': waiting for Crane"
    )
    run.at(6, c.Clear("path", True), c.Clear("gust", True, 4.0))
    told = run.go(10, confirmed=True)
    assert ev.Cleared(clearance="path", ok=False, value=None, by="used up by Moves 1") in told
    assert run.refusal(20, c.Go("s:m2", True)) == "Moves 2 needs 'Path clear': waiting for Moves"
    run.at(21, c.OverrideClearance("path", "seen", "I. Marr"))
    told = run.go(22, confirmed=True)
    assert [e.by for e in told if isinstance(e, ev.Cleared)] == ["used up by Moves 2"]


def test_a_line_that_was_called_by_mistake_is_unsaid_and_may_be_called_again(run):
    run.go(0)
    assert (
        run.refusal(1, c.Unsay("first:l", ("b",)))
        == "that line has not been called, so there is nothing to take back"
    )
    run.at(2, c.Standby("first:l", ("b", "v1"), "standby"), c.Answer(("video",)))
    assert run.at(3, c.Unsay("first:l", ("b", "v1"))) == [ev.LineUnsaid(line="first:l", cues=("b", "v1"))]
    assert (run.status("b"), run.status("v1")) == ("waiting", "waiting")
    run.at(4, c.Standby("first:l", ("b", "v1"), "standby"))
    run.go(10)
    run.at(11, c.Unsay("first:l", ("b", "v1")))
    assert run.status("b") == "fired", "what has fired has fired"


def test_a_hold_that_was_a_slip_is_taken_as_if_it_had_never_been(run):
    run.go(0)
    run.at(13, c.Hold())
    events = run.at(15.5, c.Resume(as_if=True))
    assert events[0] == ev.Resumed(held_s=2.5, reason="", shifted=False)
    assert run.state.item_ns(16_000_000_000) == 16_000_000_000, "the clock is where the band is"
    fired = run.at(15.5)
    assert cues_of(fired, "missed") == []
    assert [(e.cue, e.actual_s) for e in run.records[-1].events if isinstance(e, ev.Fired)] == [("e", 15.5)]


def test_what_a_long_hold_passed_over_is_named_when_it_goes_on_as_if_never_held(run):
    run.go(0)
    run.at(13, c.Hold())
    run.at(20, c.Resume(as_if=True))
    run.at(20)
    missed = run.records[-1].events[0]
    assert (missed.cue, missed.late_s) == ("e", 5)


def test_what_did_not_fire_by_itself_can_be_fired_by_hand_while_its_item_is_on(run):
    run.go(0)
    run.at(13, c.Hold())
    run.at(20, c.Resume(as_if=True))
    run.at(20)
    events = run.at(21, c.TakeOver("e"))
    assert [(e.cue, e.by) for e in events] == [("e", "hand")]
    assert (
        run.refusal(22, c.TakeOver("e"))
        == "that cue has been fired already; resend the current state to send it"
    )


def test_a_step_of_a_walk_marked_by_mistake_is_taken_back_the_last_one_first():
    routes = [{"id": "lane", "name": "Lane", "camera": "ahead", "legs": [{"name": "Lane", "length_m": 20}]}]
    run = Played(
        show(
            [item("one", 60, [cue("a", "1", 0)]), item("w", 60, [], kind="walk-on", route="lane")],
            routes=routes,
        )
    )
    run.at(1, c.MarkWalkStep("w", "at the mark"), c.MarkWalkStep("w", "camera rolls"))
    assert "not the step that was marked last" in run.refusal(2, c.UnmarkWalkStep("w", "at the mark"))
    assert run.at(3, c.UnmarkWalkStep("w", "camera rolls")) == [
        ev.WalkStepUndone(item="w", step="camera rolls")
    ]
    assert run.at(4, c.MarkWalkStep("w", "camera rolls"))[0] == ev.WalkStep(
        item="w", step="camera rolls", at_s=None
    )


def test_who_gave_a_clearance_is_kept(run):
    run.at(1, c.Clear("path", True, None, "Ines"))
    assert run.state.clearances["path"].by == "Ines"


def walk_on():
    clearances = [{"kind": "yes", "id": "lane", "name": "Lane clear", "position": "Crowd safety"}]
    legs = [{"name": "Lane", "length_m": 20, "clearances": ["lane"]}, {"name": "Ramp", "length_m": 5}]
    routes = [{"id": "way", "name": "Way", "legs": legs}]
    items = [item("w", 60, [], kind="walk-on", route="way"), item("one", 60, [cue("a", "1", 0)])]
    return Played(show(items, routes=routes, clearances=clearances))


def test_a_leg_that_is_not_clear_is_not_walked_without_a_name_and_a_reason():
    run = walk_on()
    run.at(1, c.MarkWalkStep("w", "at the mark", checked=True))
    why = run.refusal(2, c.MarkWalkStep("w", "Lane", checked=True))
    assert (
        why
        == "'Lane' is not clear: Lane clear: waiting for Crowd safety; get it, or who lets them walk, and why"
    )
    assert run.refusal(2, c.MarkWalkStep("w", "Lane", checked=True, by="Jo"))
    step, note = run.at(3, c.MarkWalkStep("w", "Lane", checked=True, by="Jo", reason="seen empty"))
    assert step == ev.WalkStep(item="w", step="Lane", at_s=None)
    assert (note.about, note.text) == (
        "not clear",
        "'Lane' walked without clearance (Lane clear: waiting for Crowd safety): seen empty; let pass by Jo",
    )


def test_that_they_were_stopped_before_a_leg_is_in_the_log_and_moves_nothing():
    run = walk_on()
    before = run.state
    assert run.at(2, c.StopWalk("w", "Lane", "Jo")) == [
        ev.WalkStopped(item="w", step="Lane", missing=("Lane clear: waiting for Crowd safety",), by="Jo")
    ]
    assert run.state == before
    assert "nothing is missing for 'Ramp'" in run.refusal(3, c.StopWalk("w", "Ramp"))
    run.at(4, c.Clear("lane", True))
    assert "nothing is missing for 'Lane'" in run.refusal(5, c.StopWalk("w", "Lane"))
    run.at(6, c.MarkWalkStep("w", "Lane"))
    assert "marked already" in run.refusal(7, c.StopWalk("w", "Lane"))
    assert "no item 'x'" in run.refusal(7, c.StopWalk("x", "Lane"))


def test_a_leg_that_is_clear_is_walked_and_leaves_no_such_trace():
    run = walk_on()
    run.at(1, c.Clear("lane", True, None, "Crowd safety"))
    assert len(run.at(2, c.MarkWalkStep("w", "Lane", checked=True))) == 1
    assert len(run.at(2, c.MarkWalkStep("w", "Ramp", checked=True))) == 1


def test_runs_of_an_older_version_which_did_not_check_stay_as_they_were():
    run = walk_on()
    assert len(run.at(2, c.MarkWalkStep("w", "Lane"))) == 1


def test_a_note_is_of_the_moment_its_key_was_pressed(run):
    run.go(0)
    run.go(10)
    note = run.at(25, c.WriteNote("the riser moved", about="near miss", ago_s=14.5))[-1]
    assert (note.at_s, note.ago_s, note.cue) == (10.5, 14.5, "v1")
    assert run.at(26, c.WriteNote("now"))[-1].ago_s is None
    early = run.at(27, c.WriteNote("before it began", ago_s=60.0))[-1]
    assert (early.at_s, early.cue) == (0, "a")


def test_on_to_a_later_item_the_song_that_plays_goes_on_until_its_go(run):
    run.go(0)
    run.at(12, c.Jump("second", None, cue_up=False))
    assert run.state.item_ns(13_000_000_000) == 13_000_000_000, "the band plays"
    assert run.status("b") == "skipped"
    assert cues_of(run.at(16), "fired") == ["e"], "what fires by the clock still does"
    events = run.go(20)
    assert [e.kind for e in events if e.kind in ("item_ended", "item_started")] == [
        "item_ended",
        "item_started",
    ]


def test_a_clock_that_was_stopped_starts_again_at_the_bar_that_is_on():
    cues = [cue("a", "1", 0), cue("b", "2", 30), cue("auto", "3", 20, fires="by itself")]
    run = Played(show([item("s", 60, cues, tempo=[{"bar": 1, "bpm": 120}])]))
    assert "no song is running" in run.refusal(0, c.Resync(3)), "its go starts a show"
    run.go(0)
    run.at(12, c.Jump("s", None, cue_up=True))
    assert run.state.clock_ns is None
    run.at(13, c.Resync(9))  # 120 quarters a minute in 4/4: bar 9 is at 16 s
    assert run.state.item_ns(15_000_000_000) == 18_000_000_000
    assert cues_of(run.at(17.5), "fired") == ["auto"]
