"""Going to a place, handing over, and a crew that is not always there."""

from books import book_of
from played import Played
from small_shows import two_songs

from showcaller.calling.finding import Found, addressed
from showcaller.calling.going import going_to, going_words
from showcaller.calling.handover import handover_page
from showcaller.calling.simulated import SimulatedCrew
from showcaller.run import commands as c
from showcaller.run.compiled import NS

SENDS = [{"kind": "osc", "outlet": "u", "address": "/x"}]


def test_going_forward_names_what_is_left_out_and_where_devices_should_stand():
    run = Played(two_songs())
    run.go(0)
    book = book_of(run)
    going = going_to(book, Found("second", None, ""))
    assert [x.id for x in going.skipped] == ["b", "v1", "c", "d", "e", "look", "m1", "f"]
    assert going.stand == ()
    assert going_words(book, going).startswith(
        "'First' runs on until the next go. STOP ends it now.\nSkipped: Lights 2, Video 1, Lights 3"
    )


def test_going_back_names_what_comes_again():
    run = Played(two_songs())
    run.go(0)
    run.go(10)
    going = going_to(book_of(run), Found("first", None, ""))
    assert [x.id for x in going.again] == ["a", "b", "v1"]


def test_going_back_to_an_earlier_item_says_that_the_song_stops_and_all_that_comes_again():
    run = Played(two_songs())
    run.go(0)
    run.at(2, c.Jump("second", None, cue_up=True))
    run.go(4, confirmed=True)
    fired = {e.cue for r in run.records for e in r.events if e.kind == "fired"}
    book = book_of(run)
    going = going_to(book, Found("first", None, ""))
    assert {x.id for x in going.again} == fired
    words = going_words(book, going)
    assert words.startswith(
        "'Second' is stopped, and its clock; the next go starts 'First'.\nTo be called again: "
    )
    assert "STOP" not in words


def test_the_page_for_the_next_caller_holds_what_they_need():
    run = Played(two_songs())
    run.go(0)
    run.at(4, c.Standby("first:standby:b", ("b", "v1")))
    run.at(5, c.WriteNote("second microphone is out"))
    run.at(6, c.Hold("fire alarm test"))
    page = {part.title: part.lines for part in handover_page(book_of(run), 6 * NS)}
    assert page["Where we are"][:2] == ("First, 0:06 of 1:00", "ON HOLD: fire alarm test")
    assert page["Not clear"] == ("Path clear: waiting for Moves",)
    assert page["Notes"] == ("second microphone is out",)
    assert any("Lights 2, Video 1 — go" in line for line in page["What you call next"])


def test_a_note_for_a_department_begins_with_its_name_or_letters():
    book = book_of(Played(two_songs()))
    assert addressed(book, "VID: drummer, not clock") == ("video", "drummer, not clock")
    assert addressed(book, "10:30 doors") == ("", "10:30 doors")


def crew_answers(seed):
    """(standbys said, answers given, of those wrong) with a simulated crew, over many standbys."""
    answers = []
    for n in range(40):
        run = Played(two_songs())
        run.go(0)
        run.at(2, c.Standby("first:standby:b", ("b", "v1")))
        crew = SimulatedCrew(seed * 1000 + n)
        book = book_of(run)
        for t_s in range(3, 13):
            answers += [act.departments[0] for act in crew.acts(book, t_s * NS) if act.kind == "answer"]
    return answers


def test_a_simulated_crew_mostly_answers_sometimes_not_at_all_and_always_the_same_for_a_seed():
    first = crew_answers(1)
    assert first == crew_answers(1)
    assert first != crew_answers(2)
    assert 0.8 * 80 < len(first) < 80
    assert first.count("lights") + first.count("video") > 0.9 * len(first)


def test_a_simulated_crew_gives_clearances_of_its_own_accord():
    run = Played(two_songs())
    run.go(0)
    run.go(10)
    run.go(20)
    crew = SimulatedCrew(5)
    book = book_of(run)
    given = [act for t_s in range(21, 80) for act in crew.acts(book, t_s * NS)]
    assert [(g.kind, g.clearance) for g in given if g.kind == "clear"] == [("clear", "path")]
