"""What is not ticked stands at the item it was for, and at the go that begins it."""

import json

from books import book_of
from played import Played
from small_shows import cue, document, item

from showcaller.calling.caller_view import call_view
from showcaller.calling.checklists import unticked
from showcaller.calling.pages_aloud import page_banner, page_choices
from showcaller.model import parse_show
from showcaller.run import commands as c
from showcaller.run.compiled import NS


def checklist(ident, of, lines=2):
    says = [{"says": f"line {n}"} for n in range(lines)]
    return {
        "id": ident,
        "name": ident.title(),
        "kind": "checklist",
        "reader": "Deck chief",
        "item": of,
        "lines": says,
    }


def evening():
    items = [item("one", 60, [cue("a", "1", 0)]), item("two", 60, [cue("b", "2", 0)]), item("three", 60, [])]
    pages = [checklist("third", "three"), checklist("first", "one"), checklist("second", "two")]
    return Played(parse_show(json.dumps(document(items, pages=pages))))


def left(run):
    return [(one.id, one.left, one.on) for one in unticked(book_of(run))]


def next_go(run, t_s):
    go = call_view(book_of(run), round(t_s * NS)).next_go
    assert go is not None
    return go


def test_what_is_due_is_what_belongs_to_the_next_item_and_those_before_it():
    run = evening()
    assert left(run) == [("first", 2, False)]
    assert next_go(run, 0).unticked == ("First (Deck chief), 2 of 2 left",)
    run.at(1, c.TickLine("first", 1, "Kim"))
    assert left(run) == [("first", 1, False)]
    run.at(2, c.TickLine("first", 2, "Kim"))
    assert left(run) == []
    assert next_go(run, 3).unticked == ()
    run.go(5)
    assert left(run) == [("second", 2, False)]
    run.go(65)
    assert left(run) == [("second", 2, True), ("third", 2, False)], "it is on, and still not ticked"
    run.go(130)
    assert left(run) == [("third", 2, True)], "what is over is over"


def test_a_closed_list_is_done_with_and_an_open_one_is_no_page_that_is_read():
    run = evening()
    run.at(1, c.TickLine("first", 1, "Kim"))
    assert page_banner(book_of(run), 2 * NS, "F11") == ""
    words = {row.id: row.words for row in page_choices(book_of(run), 2 * NS)}
    assert words["first"] == "checklist before One, Deck chief: 1 of 2 ticked"
    run.at(3, c.ClosePage("first", "Ada"))
    assert left(run) == []
    words = {row.id: row.words for row in page_choices(book_of(run), 4 * NS)}
    assert words["first"].endswith("closed")


def test_an_item_that_was_cut_needs_nothing():
    run = evening()
    run.go(5)
    run.at(10, c.Skip(run.next_go()))
    assert "second" not in [ident for ident, _, _ in left(run)]
