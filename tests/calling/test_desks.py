"""What each of several desks on one run is told, and which hand may move it."""

from books import book_of
from played import Played
from small_shows import two_songs

from showcaller.calling.desks import asking_words, others, watch_words
from showcaller.calling.guarding import SEEN_S, NextSeen
from showcaller.run import commands as c
from showcaller.run import events as ev


def begun():
    run = Played(two_songs(), started=False)
    run.at(0, c.Start("Ines", desk="a"))
    run.at(0, c.Report(ev.DeskJoined(desk="a", name="caller's desk")))
    run.at(0, c.Report(ev.DeskJoined(desk="b", name="caller's desk")))
    return run


def test_the_one_calls_and_the_other_is_told_who_does():
    book = book_of(begun())
    assert watch_words(book, "a", False, "C") == ""
    assert watch_words(book, "b", False, "C") == "you watch · Ines has the calls · C asks for them"
    assert watch_words(book, "b", True, "C") == "you watch · Ines's desk is gone · C takes the calls"
    assert others(book, "a") == {"b": "caller's desk"}


def test_asked_for_and_handed_over_they_are_the_others_and_the_name_with_them():
    run = begun()
    run.at(1, c.AskForCalls("b", "Mo"))
    book = book_of(run)
    assert asking_words(book, "a", "C") == "Mo asks for the calls: C C hands them over"
    assert "was asked" in watch_words(book, "b", False, "C")
    run.at(2, c.GiveCalls("b"))
    book = book_of(run)
    assert (book.state.calling, book.state.caller, book.state.asking) == ("b", "Mo", None)
    assert watch_words(book, "a", False, "C") == "you watch · Mo has the calls · C asks for them"
    assert book.said[-1].text == "Mo has the calls"


def test_they_are_taken_from_a_desk_that_is_there_only_with_a_reason():
    run = begun()
    why = run.refusal(1, c.TakeCalls("b", "Mo"))
    assert why == "Ines has the calls: ask for them, or give the reason for taking them"
    taken = run.at(2, c.TakeCalls("b", "Mo", "her headset is dead"))[0]
    assert run.state.calling == "b"
    assert isinstance(taken, ev.CallsWith)
    assert (taken.from_caller, taken.why) == ("Ines", "her headset is dead")


def test_a_desk_that_left_is_known_to_have_left_and_a_new_engine_hears_all_anew():
    run = begun()
    run.at(1, c.Report(ev.DeskLeft(desk="a", name="caller's desk")))
    assert book_of(run).desks == {"b": "caller's desk"}
    run.at(2, c.Recovered(gap_ns=0))
    assert book_of(run).desks == {}


def test_a_go_another_hand_has_just_made_the_next_is_not_one_that_was_meant():
    seen = NextSeen()
    seen.look("g1", False, 0.0, 0)
    assert not seen.too_new(0.0)  # the first that was ever shown
    seen.look("g2", True, 5.0, 5)
    assert not seen.too_new(5.01)  # moved by this desk's own go
    seen.look("g3", False, 9.0, 9)
    assert seen.too_new(9.0 + SEEN_S / 2)
    assert not seen.too_new(9.0 + SEEN_S)
    assert seen.since_ns == 9
