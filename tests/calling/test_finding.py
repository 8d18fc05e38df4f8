"""A place found by a few letters or a cue's number."""

import pytest
from books import book_of
from played import Played
from small_shows import two_songs

from showcaller.calling.finding import Found, find_places, suggestions


@pytest.fixture(scope="module")
def book():
    return book_of(Played(two_songs()))


@pytest.mark.parametrize("text", ["lights 2", "Lights 2", " LX 2 ", "lx 2"])
def test_a_cue_is_found_by_its_department_and_number(book, text):
    assert find_places(book, text)[0] == Found("first", "b", "Lights 2 cue b, First at 0:10")


def test_an_item_is_found_by_a_part_of_its_name(book):
    assert find_places(book, "sec") == [Found("second", None, "Second, from its start")]


def test_a_bare_number_finds_the_cues_of_every_department(book):
    assert [p.cue for p in find_places(book, "1")] == ["a", "v1", "m1"]


def test_a_label_is_found_and_the_list_has_an_end(book):
    assert [p.cue for p in find_places(book, "cue v")] == ["v1"]
    assert len(find_places(book, "cue")) == 5


def test_what_enter_would_do_is_said_first(book):
    assert suggestions(book, "second").startswith("Enter: Second, from its start")
    assert (
        suggestions(book, "zebra") == "nothing matches; type an item's name, or a cue such as 'lights 12.5'"
    )
    assert suggestions(book, " ").startswith("an item's name, or a cue")
    assert find_places(book, "  ") == []
