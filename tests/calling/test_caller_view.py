"""The call area's live half: the line to say now, the next go, the ladder."""

import pytest
from books import book_of, view_at
from played import Played
from small_shows import cue, follow, item, show, tight_show, two_songs

from showcaller.calling.caller_view import AHEAD_LINES, call_view
from showcaller.calling.rungs import AHEAD_S, item_bases, place_words
from showcaller.run import commands as c
from showcaller.run.compiled import NS


def one_song(cues, length_s=120.0, **more):
    """A run of one song of these cues, its start given at 0."""
    run = Played(show([item("s", length_s, cues)], **more))
    run.go(0)
    return run


def said(run, t_s):
    """Say every standby and warning that the view puts first until a go is to be said."""
    while (view := view_at(run, t_s)).now is not None and view.now.what != "go":
        run.at(t_s, c.Standby(view.now.id, view.now.cues, view.now.what))
    return view


def ladder(view):
    return [(r.what, r.text) for r in view.ladder]


def test_before_the_run_is_open_there_is_nothing_to_fire_but_what_comes_can_be_read():
    idle = Played(two_songs(), started=False)
    view = call_view(book_of(idle), 0)
    assert (view.phase, view.now, view.next_go, view.done) == ("idle", None, None, False)
    assert [r.go for r in view.ladder if r.go][:2] == ["first:start", "first:b"]


def test_the_line_to_say_now_is_the_first_that_is_due_and_the_next_go_is_known_beside_it():
    run = one_song([cue("a", "1", 0), cue("b", "2", 30)])
    view = view_at(run, 5)
    assert (view.now.what, view.now.text) == ("standby", "Standby Lights 2")
    assert (view.next_go.go, view.next_go.in_s) == ("s:b", pytest.approx(25))
    assert view.next_say == view.now
    run.at(21, c.Standby(view.now.id, view.now.cues))
    view = view_at(run, 22)
    assert (view.now.what, view.now.text, view.now.in_s) == ("go", "Lights 2 — go", pytest.approx(8))
    assert view.next_say is None


def test_a_standby_is_to_be_said_its_lead_before_the_go():
    run = one_song([cue("b", "2", 60, standby_s=10)])
    line = view_at(run, 1).now
    # It must have ended 10 s before the go, and is said no earlier than 20 s before that (early_s).
    assert 60 - 10 - 20 - line.takes_s - 0.01 <= line.in_s + 1 <= 60 - 10 - line.takes_s + 0.01


def test_the_ladder_is_in_order_of_time_and_counts_down():
    run = one_song(
        [
            cue("b", "2", 30),
            cue("e", "3", 40, fires="by itself"),
            cue("f", "4", 70),
            follow("g", "5", "f", 5),
        ]
    )
    view = said(run, 20)
    instants = [r.in_s for r in view.ladder]
    assert instants == sorted(instants)
    itself = {r.cues[0]: r for r in view.ladder if r.what == "automatic"}
    assert (itself["e"].text, itself["e"].in_s) == ("Lights 3 automatic", pytest.approx(20))
    assert (itself["g"].text, itself["g"].in_s) == ("Lights 5 follows", pytest.approx(55))


def test_what_follows_a_late_cue_waits_for_it():
    sees = {"at": "visual", "sees": "she turns", "expect_s": 20}
    run = one_song([cue("look", "2", sees), follow("x", "3", "look", 2), follow("y", "4", "x", 3)])

    def expected(t_s):
        return {r.cues[0]: round(r.in_s, 3) for r in view_at(run, t_s).ladder if r.what == "automatic"}

    assert expected(10) == {"x": 12, "y": 15}
    assert expected(60) == {"x": 2, "y": 5}, "she has not turned yet"
    run.go(70.5)
    assert expected(71) == {"x": 1.5, "y": 4.5}
    assert expected(73) == {"y": 2.5}


def test_in_a_hold_the_ladder_stands_and_the_hold_is_counted():
    run = one_song([cue("b", "2", 30)])
    run.at(10, c.Hold("rigging"))
    first, later = view_at(run, 12), view_at(run, 42)
    assert (later.held_s, later.hold_reason) == (32, "rigging")
    assert first.next_go.in_s == later.next_go.in_s == pytest.approx(20)
    assert later.ladder[0] == later.now, "the standby that is still to be called is in sight"


def test_a_go_well_past_its_instant_is_missed():
    run = one_song([cue("b", "2", 30)])
    said(run, 20)
    assert not view_at(run, 31.9).missed
    view = view_at(run, 32.5)
    assert view.missed
    assert view.now.in_s == pytest.approx(-2.5)


def test_a_go_by_eye_or_an_items_start_is_never_late():
    sees = {"at": "visual", "sees": "she turns", "expect_s": 20}
    run = Played(show([item("s", 60, [cue("look", "2", sees)]), item("t", 60, [])]))
    assert not view_at(run, 500).missed, "the first item waits for as long as it must"
    run.go(500)
    view = said(run, 580)
    assert (view.now.sees, view.now.firm, view.missed) == ("she turns", False, False)
    run.go(590)
    view = view_at(run, 700)
    assert (view.now.starts_item, view.missed, view.now.in_s) == (True, False, 0), "the song has run over"


def test_an_item_cued_up_midway_counts_from_that_go():
    run = Played(show([item("s", 60, [cue("a", "1", 0), cue("b", "2", 30), cue("f", "3", 50)])]))
    run.at(1, c.Jump("s", "b"))
    view = said(run, 2)
    assert (view.now.go, view.now.starts_item, view.now.in_s) == ("s:b", True, 0)
    goes = [r for r in view.ladder if r.what == "go"]
    assert [(r.go, r.in_s) for r in goes] == [("s:f", pytest.approx(20))]


def test_the_next_items_lines_are_on_the_ladder_before_this_one_is_over():
    run = Played(two_songs())
    run.go(0)
    run.at(1, c.Jump("first", "f"))
    view = view_at(run, 30)
    assert "second:start" in [r.go for r in view.ladder]
    starts = next(r for r in view.ladder if r.go == "second:start")
    assert starts.in_s == pytest.approx(30)
    assert starts.place == "begins Second"


def test_departments_that_have_answered_and_that_have_not():
    run = one_song([cue("b", "2", 30), cue("v1", "1", 30, "video")])
    view = said(run, 20)
    assert (view.answered, view.waiting) == ((), ("Lights", "Video"))
    run.at(21, c.Answer(("video",)))
    view = view_at(run, 22)
    assert (view.answered, view.waiting) == (("Video",), ("Lights",))


def test_a_hazardous_go_shows_its_caution_and_what_it_needs():
    hazard = {"kind": "lift", "caution": "Stand clear.", "responsible": "I. Marr"}
    path = {"kind": "yes", "id": "path", "name": "Path clear", "position": "Moves"}
    run = one_song([cue("m", "1", 30, "moves", hazard=hazard, needs=["path"])], clearances=[path])
    go = view_at(run, 5).next_go
    assert (go.hazard, go.needs) == ("Stand clear.", ("path",))


def test_what_was_left_out_is_not_asked_for_any_more():
    run = one_song([cue("b", "2", 30), cue("f", "3", 60)])
    run.at(5, c.Skip("s:b"))
    texts = [view_at(run, 6).now.text, *(t for _, t in ladder(view_at(run, 6)))]
    assert not any("Lights 2" in text for text in texts)


def test_a_line_said_is_off_the_ladder_and_a_go_taken_back_is_on_it_again():
    run = one_song([cue("b", "2", 30), cue("f", "3", 80)])
    said(run, 20)
    run.go(30)
    assert view_at(run, 31).next_go.go == "s:f"
    run.at(32, c.Back())
    assert view_at(run, 33).next_go.go == "s:b"


def test_after_the_last_go_there_is_nothing_left_to_say():
    run = one_song([cue("b", "2", 30), cue("e", "3", 60, fires="by itself")])
    said(run, 20)
    run.go(30)
    view = view_at(run, 40)
    assert (view.now, view.next_go, view.done) == (None, None, True)
    assert ladder(view) == [("automatic", "Lights 3 automatic")]


def test_after_the_end_the_view_says_so():
    run = one_song([cue("b", "2", 30)])
    run.at(5, c.End())
    view = view_at(run, 6)
    assert (view.phase, view.done, view.ladder) == ("ended", True, ())


def test_a_crowded_ladder_ends_and_says_how_much_more_there_is():
    run = one_song([cue(f"c{n}", str(n), 100 + n, fires="by itself") for n in range(1, 60)], 200)
    view = view_at(run, 5)
    assert len(view.ladder) == AHEAD_LINES
    assert view.more == 59 - AHEAD_LINES


def test_nothing_further_off_than_the_ladder_looks_is_on_it_but_the_next_go_is_always_known():
    far = AHEAD_S + 20
    run = one_song([cue("b", "2", far), cue("f", "4", far), cue("e", "3", far, fires="by itself")], 900)
    view = view_at(run, 1)
    assert (view.now.go, view.next_go.go, view.ladder) == ("s:b", "s:b", ())
    assert view.now.in_s == pytest.approx(far - 1)


def test_a_long_interval_can_be_ended_early():
    run = Played(show([item("pause", 1200, []), item("s", 60, [])]))
    run.go(0)
    view = view_at(run, 10)
    assert (view.next_go.go, view.done) == ("s:start", False)
    assert view.next_go.in_s == pytest.approx(1190)


def test_items_to_come_begin_where_the_plan_puts_them_from_here():
    run = Played(show([item(n, 60, [cue(n, str(k + 1), 10)]) for k, n in enumerate("abcd")]))

    def bases(t_s):
        return list(item_bases(book_of(run), round(t_s * NS)))

    assert bases(5) == [(0, 0), (1, 60), (2, 120), (3, 180)]
    run.go(10)
    assert bases(30) == [(0, -20), (1, 40), (2, 100), (3, 160)]
    assert bases(75) == [(0, -65), (1, 0), (2, 60), (3, 120)], (
        "running over puts the next at once, not before"
    )
    run.go(76)
    run.at(77, c.Skip("b:start"))
    assert [i for i, _ in bases(78)] == [0, 2, 3]
    run.at(80, c.Jump("c", "c"))
    assert bases(81) == [(2, -10), (3, 50)]


def test_a_go_is_placed_by_sight_bar_start_or_time():
    sees = {"at": "visual", "sees": "she turns", "expect_s": 20}
    cues = [cue("a", "1", {"at": "bar", "bar": 3, "beat": 2}), cue("b", "2", sees)]
    run = Played(
        show([item("s", 60, cues, tempo=[{"bar": 1, "bpm": 120}]), item("t", 60, [cue("c", "3", 61 - 1)])])
    )
    book = book_of(run)
    words = [place_words(book, i, go) for i in (0, 1) for go in book.compiled.items[i].planned.goes]
    assert words == ["begins S", "bar 3 / 2", "when she turns", "begins T", "at 1:00"]


def test_a_go_that_cannot_be_said_in_time_still_has_its_own_words():
    run = Played(tight_show())
    run.go(0)
    wanted = ["Video 1 — go", "Lights 1.5 — go", "Lights 2 — go"]
    view = view_at(run, 19)
    gos = [r for r in (view.now, *view.ladder) if r.what == "go"]
    assert [r.text for r in gos] == wanted
    assert all(r.takes_s > 0 for r in gos)
    for n, t_s in enumerate((20, 20.5, 22)):
        assert said(run, t_s).now.text == wanted[n]
        run.go(t_s)
    assert [s.text for s in book_of(run).said if s.go] == [
        "Song, go", "Video 1, go", "Lights 1.5, go", "Lights 2, go",
    ]  # fmt: skip


def texts(view):
    return [r.text for r in (*(() if view.now is None else (view.now,)), *view.ladder)]


def long_song():
    cues = [cue(f"c{n}", str(n + 1), 20 * n) for n in range(8)]
    cues += [cue("auto", "90", 70, fires="by itself"), follow("after", "91", "c3", 2)]
    return show([item("one", 200, cues), item("two", 60, [cue("z", "99", 0)])])


def test_what_a_jump_leaves_out_leaves_the_ladder():
    run = Played(long_song())
    run.go(0)
    before = texts(view_at(run, 1))
    assert any("Lights 4" in text for text in before)
    assert "Lights 91 follows" in before
    run.at(2, c.Jump("one", "c5", cue_up=False))
    after = texts(view_at(run, 3))
    gone = ("Lights 2", "Lights 3", "Lights 4", "Lights 5", "Lights 91")
    assert [text for text in after if any(f"{name} " in f"{text.replace(',', ' ')} " for name in gone)] == []
    assert any(text.startswith("Lights 90") for text in after), "what fires by the clock still does"
    run.at(4, c.Jump("two", None))
    assert [text for text in texts(view_at(run, 5)) if "Lights 99" not in text] == []


def test_an_overlooked_standby_gives_its_place_to_the_go_in_time_for_its_word():
    run = Played(show([item("one", 200, [cue("a", "1", 0), cue("b", "2", 40), cue("d", "3", 41)])]))
    run.go(0)
    assert view_at(run, 31).now.what == "standby"
    late = view_at(run, 39)
    assert (late.now.what, late.now.in_s) == ("go", pytest.approx(1.0))
    assert late.unsaid
    assert late.unsaid[0].startswith("Standby Lights 2")
    assert late.next_say is not None, "it can still be called"
    assert [r for r in late.ladder if r.what == "standby" and r.in_s < 0] == []
    after = view_at(run, 45)
    assert after.now.what == "go", "and stays there, however late"


def test_a_standby_stays_in_the_box_for_as_long_as_it_takes_to_say():
    cues = [
        cue("a", "1", 0),
        *(cue(f"b{n}", str(n + 2), 40, dep) for n, dep in enumerate(("lights", "video", "moves"))),
    ]
    run = Played(show([item("one", 200, cues)]))
    run.go(0)
    begins = next(r for r in (view_at(run, 1).now, *view_at(run, 1).ladder) if r.what == "standby")
    at_s, takes_s = 1 + begins.in_s, begins.takes_s
    assert takes_s > 2
    for share in (0.3, 0.6, 0.99):
        assert view_at(run, at_s + share * takes_s).now.what == "standby", "it is being said"
