"""What is said of a song's form: in words over the box, and in when things come."""

import pytest
from books import book_of
from played import Played
from small_shows import cue, item, show

from showcaller.calling.form_view import form_banner
from showcaller.calling.rungs import item_bases, rungs_of
from showcaller.calling.taking_back import last_act
from showcaller.run import commands as c

KEYS = {"again": "R", "vamp": "O", "cut": "K"}


def song(vamp=False):
    """120 bpm in 4/4, a bar is 2 s: verse to 16 s, chorus to 32 s, out to 48 s, a go in each."""
    sections = [
        {"name": "Verse", "bar": 1}, {"name": "Chorus", "bar": 9, "vamp": vamp}, {"name": "Out", "bar": 17},
    ]  # fmt: skip
    cues = [
        cue("a", "1", 0), cue("b", "2", 20), cue("c", "3", 24, fires="by itself"), cue("d", "4", 36),
        cue("e", "5", 40, fires="by itself"),
    ]  # fmt: skip
    return show([item("s", 48, cues, tempo=[{"bar": 1, "bpm": 120}], sections=sections), item("t", 60, [])])


@pytest.fixture
def run():
    played = Played(song())
    played.go(0)
    return played


def rungs_at(run, t_s):
    run.at(t_s)
    return list(rungs_of(book_of(run), round(t_s * 1e9)))


def in_s(run, t_s):
    """Seconds until each cue to come, by its id."""
    return {rung.cues[0]: rung.in_s for rung in rungs_at(run, t_s) if rung.cues and rung.what != "standby"}


def test_once_more_puts_off_what_is_behind_and_nothing_before(run):
    before = in_s(run, 17)
    run.at(17, c.PlaySection("again"))
    after = in_s(run, 17)
    assert after["b"] == pytest.approx(before["b"])
    assert after["d"] == pytest.approx(before["d"] + 16)
    assert after["e"] == pytest.approx(before["e"] + 16)
    _, next_base = list(item_bases(book_of(run), 17 * 10**9))[1]
    assert next_base == pytest.approx(48 - 17 + 16)


def test_gos_that_will_come_again_are_seen_coming(run):
    run.go(20)
    run.at(21, c.PlaySection("again"))
    found = [r for r in rungs_at(run, 21) if r.id.endswith(":again")]
    assert [(r.id, r.what) for r in found] == [("s:b:again", "automatic")], "not to be given yet"
    assert found[0].in_s == pytest.approx(32 - 21 + 4)


def test_what_is_cut_leaves_the_ladder_and_the_rest_comes_sooner(run):
    before = in_s(run, 5)
    run.at(5, c.PlaySection("cut"))
    after = in_s(run, 5)
    assert "b" not in after
    assert "c" not in after
    assert after["d"] == pytest.approx(before["d"] - 16)


def test_what_waits_for_the_word_is_not_counted_as_sure(run):
    run.at(17, c.PlaySection("vamp"))
    firm = {rung.cues[0]: rung.firm for rung in rungs_at(run, 18) if rung.cues and rung.what != "standby"}
    assert firm["b"]
    assert not firm["d"]
    assert not firm["e"]


def test_the_banner_says_what_ends_it(run):
    assert form_banner(book_of(run), KEYS) == ""
    run.at(17, c.PlaySection("again"))
    assert form_banner(book_of(run), KEYS) == "Chorus once more · R: as planned"
    run.at(18, c.PlaySection("vamp"))
    run.at(33)
    assert form_banner(book_of(run), KEYS) == "vamp: Chorus, pass 2 · O: out at its end"
    run.at(34, c.PlaySection("cut"))
    assert form_banner(book_of(run), KEYS) == "without Out · K: as planned"


def test_a_vamp_of_the_plan_stands_over_the_box_from_the_songs_start():
    played = Played(song(vamp=True))
    played.go(0)
    assert form_banner(book_of(played), KEYS) == "vamp: Chorus, pass 1 · O: out at its end"


def test_a_word_on_the_form_is_taken_back_like_any_other(run):
    run.at(17, c.PlaySection("again"))
    act = last_act(book_of(run))
    assert act is not None
    assert act.words == "Chorus once more"
    run.at(18, act.undo)
    assert run.state.turn is None
    assert last_act(book_of(run)) is None


def test_what_comes_after_a_vamp_says_so_and_what_is_in_it_does_not():
    run = Played(song(vamp=True))
    run.go(0)
    waits = {r.id: r.vamp for r in rungs_at(run, 17)}
    assert waits["s:b"] is False
    assert waits["s:d"] is True
