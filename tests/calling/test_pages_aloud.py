"""Pages read aloud as the desk shows them: rows, clearances and limits, the hold, what stands above."""

import json

import pytest
from played import Played
from small_shows import cue, document, item

from showcaller.calling.pages_aloud import page_banner, page_choices, page_view
from showcaller.calling.status_view import asked_for, remaining_s, running_over_s
from showcaller.model import parse_show
from showcaller.model.pages import ABOVE
from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls

CLEARANCES = [
    {"kind": "yes", "id": "deck", "name": "Deck clear", "position": "Deck chief"},
    {"kind": "reading", "id": "gust", "name": "Gust", "position": "Rigger", "unit": "m/s", "limit": 9,
     "stale_after_s": 60, "source": "engineer's letter"},
]  # fmt: skip
LINES = [
    {"says": "Hold, please."},
    {"says": "Your gust?", "who": "Rigger", "clearance": "gust", "action": "lower the sail"},
    {"says": "Deck?", "clearance": "deck"},
]


class Read(Played):
    """A run whose book is kept."""

    def __init__(self, kind="weather"):
        pages = [
            {"id": "w", "name": "Wind", "kind": kind, "reader": "Caller", "lines": LINES},
            {"id": "empty", "name": "Empty", "reader": "Caller"},
        ]
        song = item("s", 60, [cue("a", "1", 0), cue("b", "2", 30)])
        super().__init__(parse_show(json.dumps(document([song], clearances=CLEARANCES, pages=pages))))

    @property
    def book(self):
        book = RunBook(self.compiled, compile_show_calls(self.compiled.plan))
        book.take(self.records)
        return book

    def page(self, t_s, ident="w"):
        return page_view(self.book, ident, round(t_s * NS))


def test_a_page_that_is_not_open_has_no_view_and_the_list_says_what_it_is():
    run = Read()
    assert run.page(5) is None
    assert [row.words for row in page_choices(run.book, 5 * NS)] == [
        "weather, 3 lines, read by Caller", "other, 0 lines, read by Caller",
    ]  # fmt: skip
    assert page_banner(run.book, 5 * NS, "F11") == ""


def test_the_clock_counts_from_opening_and_the_next_line_is_the_first_that_is_open():
    run = Read()
    run.at(10, c.OpenPage("w", "Ada"))
    run.at(12, c.TickLine("w", 2, "Ada"))
    page = run.page(75)
    assert (page.open_s, page.next, page.count) == (65, 0, "1 of 3")
    assert page.rows[1].ticked == "0:02 Ada"
    assert page_choices(run.book, 75 * NS)[0].words == "open 1:05 · 1 of 3 ticked"
    assert page_banner(run.book, 75 * NS, "F11") == "page open: Wind 1:05 · F11"
    run.at(80, c.TickLine("w", 1), c.TickLine("w", 3))
    assert run.page(81).next is None


def test_a_reading_stands_beside_the_limit_its_source_and_what_is_done_at_it():
    run = Read()
    run.at(0, c.OpenPage("w"))
    limit = "limit 9 m/s (engineer's letter) · then: lower the sail"
    assert run.page(1).rows[1].beside == f"Rigger · 2 Gust: waiting for Rigger · {limit}"
    run.at(2, c.Clear("gust", True, 11))
    assert run.page(3).rows[1].beside == f"Rigger · 2 Gust: 11 m/s is over 9 · {limit}"
    run.at(4, c.Clear("gust", True, 7.5))
    assert run.page(5).rows[1].beside == f"Rigger · 2 Gust: 7.5 of 9 m/s · {limit}"
    assert "reading 61 s old" in run.page(65).rows[1].beside, "stale after 60 s"


@pytest.mark.parametrize(
    ("kind", "above"),
    [("show stop", ABOVE), ("weather", ABOVE), ("evacuation", ABOVE), ("preset", ""), ("house open", ""),
     ("clearance call", ""), ("other", "")],
)  # fmt: skip
def test_where_somebody_may_be_in_danger_the_venues_procedure_stands_above(kind, above):
    run = Read(kind)
    run.at(0, c.OpenPage("w"))
    assert run.page(1).above == above


def test_what_an_open_page_asks_for_can_be_given_until_its_line_is_ticked():
    run = Read()
    assert asked_for(run.book) == set()
    run.at(1, c.OpenPage("w"))
    assert asked_for(run.book) == {"deck", "gust"}
    run.at(2, c.TickLine("w", 2))
    assert asked_for(run.book) == {"deck"}
    run.at(3, c.ClosePage("w"))
    assert asked_for(run.book) == set()


def test_the_hold_is_on_the_page_and_in_the_projected_end():
    run = Read()
    run.go(0)
    run.at(10, c.Hold("wind"), c.OpenPage("w"))
    assert run.page(25).held_s == 15
    assert remaining_s(run.book, 10 * NS) == remaining_s(run.book, 610 * NS) == 50
    assert running_over_s(run.book, 610 * NS) == pytest.approx(600)
    run.at(610, c.Resume())
    assert run.page(611).held_s is None
    assert running_over_s(run.book, 620 * NS) == pytest.approx(600)


def test_a_page_without_lines_opens_and_has_no_next():
    run = Read()
    run.at(0, c.OpenPage("empty"))
    assert (run.page(1, "empty").rows, run.page(1, "empty").next) == ((), None)
