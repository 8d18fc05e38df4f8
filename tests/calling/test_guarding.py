"""When a go is asked for a second time."""

import pytest
from books import book_of
from played import Played
from small_shows import cue, item, show

from showcaller.calling.caller_view import call_view
from showcaller.calling.guarding import asked_again, jumped_last
from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls


def night(ask_again_s=None):
    songs = [
        item(
            "one", 120, [cue("a", "1", 0), cue("b", "2", 40, standby_s=6), cue("v", "3", 60, sees="the lamp")]
        ),
        item("two", 60, [cue("d", "4", 0)]),
    ]
    for part in songs[0]["cues"]:
        if part.get("sees"):
            part["anchor"] = {"at": "visual", "sees": part.pop("sees"), "expect_s": 60}
    return Played(show(songs, speaking={} if ask_again_s is None else {"ask_again_s": ask_again_s}))


def asked(run, t_s):
    run.at(t_s)
    book = RunBook(run.compiled, compile_show_calls(run.compiled.plan))
    book.take(run.records)
    go = call_view(book, round(t_s * NS)).next_go
    return None if go is None else asked_again(book, go)


def call_standby(run, t_s, *cues):
    book = RunBook(run.compiled, compile_show_calls(run.compiled.plan))
    i = run.compiled.where[cues[0]][0]
    ids = run.compiled.items[i].ids
    line = next(
        x for x in book.sheets[i].lines if x.what == "standby" and cues[0] in [ids[k] for k in x.cues]
    )
    run.at(t_s, c.Standby(line.id, cues))


def test_the_shows_very_first_go_is_asked_again_unless_its_standby_was_called():
    run = night()
    assert asked(run, 1) == "without its standby"
    call_standby(run, 2, "a")
    assert asked(run, 3) is None


def test_a_second_press_behind_an_items_last_go_does_not_begin_the_next_song():
    run = night()
    run.go(0)
    run.go(40)
    run.go(60)
    why = asked(run, 60.55)
    assert why is not None
    assert "early, and it begins Two and without its standby" in why


@pytest.mark.parametrize(("at_s", "early"), [(20, True), (33, True), (34.5, False), (40, False)])
def test_early_is_more_than_the_lines_own_standby_lead(at_s, early):
    run = night()
    run.go(0)
    call_standby(run, 15, "b")
    assert (asked(run, at_s) is not None) == early


def test_a_go_by_eye_is_guarded_too():
    run = night()
    run.go(0)
    run.go(40)
    call_standby(run, 41, "v")
    assert "early" in asked(run, 42)
    assert asked(run, 58) is None


def test_the_show_may_set_its_own_figure():
    run = night(ask_again_s=25)
    run.go(0)
    call_standby(run, 10, "b")
    assert asked(run, 20) is None


def test_an_unsaid_standby_is_asked_about_on_time_too():
    run = night()
    run.go(0)
    assert asked(run, 39.9) == "without its standby"


def test_a_caller_who_does_not_key_standbys_is_not_asked_about_them():
    songs = [item("one", 120, [cue("a", "1", 0), cue("b", "2", 40)])]
    run = Played(show(songs, speaking={"ask_unsaid": False}))
    assert asked(run, 1) is None
    run.go(1)
    assert "early" in asked(run, 20)


def test_whether_the_place_was_just_put_where_it_is():
    run = night()
    run.go(0)
    assert not jumped_last(book_of(run))
    run.at(5, c.Jump("one", "v", cue_up=False))
    assert jumped_last(book_of(run))
    run.at(6, c.WriteNote("on from here"))
    assert jumped_last(book_of(run))
    run.go(7)
    assert not jumped_last(book_of(run)), "a go was given there"
