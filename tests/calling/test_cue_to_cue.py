"""A rehearsal from cue to cue."""

import pytest
from books import book_of
from played import Played
from small_shows import cue, item, show

from showcaller.calling.cue_to_cue import before_next_go, top_of
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS

# 120 quarters a minute in 4/4: a bar is 2 s.
SECTIONS = [{"name": "Verse", "bar": 1}, {"name": "Chorus", "bar": 9}, {"name": "Verse", "bar": 17}]


def rehearsal(muted=True):
    cues = [cue("a", "1", 0), cue("b", "2", 40), cue("auto", "3", 30, fires="by itself"), cue("d", "4", 44)]
    songs = [
        item("one", 60, cues, tempo=[{"bar": 1, "bpm": 120}], sections=SECTIONS),
        item("two", 60, [cue("e", "5", 0)]),
    ]
    run = Played(show(songs), started=False)
    run.at(0, c.Start("Ada", muted=muted))
    return run


def test_to_fifteen_seconds_before_the_next_go_and_on_from_there():
    run = rehearsal()
    run.go(5)
    command = before_next_go(book_of(run))
    assert command == c.Locate("one", 25.0)
    events = run.at(8, command)
    assert run.state.item_ns(8 * NS) == 25 * NS
    assert run.state.item_ns(10 * NS) == 27 * NS
    assert events[0].kind == "jumped"
    fired = run.at(13.5)
    assert [e.cue for e in fired if isinstance(e, ev.Fired)] == ["auto"], "at 30 s of the song"
    assert [e.cue for e in run.go(23) if isinstance(e, ev.Fired)] == ["b"]


def test_near_an_items_beginning_it_is_its_beginning_and_its_first_go_only_takes_its_place():
    run = rehearsal()
    assert before_next_go(book_of(run)) == c.Jump("one", None)
    run.go(5)
    run.at(6, c.Locate("one", 39))
    run.go(7)
    assert before_next_go(book_of(run)) == c.Locate("one", 29.0)
    run.go(12)
    assert before_next_go(book_of(run)) == c.Jump("two", None)


def test_back_to_the_top_of_a_section_by_its_name_counted_if_need_be():
    run = rehearsal()
    run.go(5)
    book = book_of(run)
    assert top_of(book, "chor") == c.Locate("one", 16.0)
    assert top_of(book, "verse") == c.Locate("one", 0.0)
    assert top_of(book, "verse 2") == c.Locate("one", 32.0)
    assert top_of(book, "solo") == "no section 'solo' here; there are Verse, Chorus"
    assert top_of(book, "verse 3") == "no section 'verse 3' here; there are Verse, Chorus"


def test_what_had_fired_comes_again_and_what_lies_before_does_not():
    run = rehearsal()
    run.go(5)
    run.at(6, c.Locate("one", 39))
    run.go(7)  # b
    run.at(9, c.Locate("one", 32))
    assert run.status("b") == "waiting"
    assert run.status("auto") == "skipped"
    assert run.status("a") == "skipped"


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (c.Locate("nowhere", 1), "no item 'nowhere' in this show"),
        (c.Locate("one", 61), "'One' is not 61 s long; choose a place within it"),
        (c.Locate("one", -1), "'One' is not -1 s long; choose a place within it"),
    ],
)
def test_what_is_no_place_is_refused(given, why):
    assert rehearsal().refusal(1, given) == why


def test_in_a_live_run_the_clock_is_the_bands():
    run = rehearsal(muted=False)
    run.go(5)
    assert "only in a rehearsal" in run.refusal(6, c.Locate("one", 20))
