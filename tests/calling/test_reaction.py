"""A department that needs time to react is given its go that much earlier, and is not called early for it."""

import pytest
from books import book_of, view_at
from played import Played
from small_shows import DEPARTMENTS, cue, item, show

from showcaller.review.tables import cue_table


def slow_show():
    slow = [{**d, "reaction_s": 0.5} if d["id"] == "moves" else d for d in DEPARTMENTS]
    cues = [cue("a", "1", 0), cue("m", "1", 30, "moves"), cue("v", "1", 30, "video")]
    return show([item("s", 60, cues)], departments=slow)


def test_the_ladder_counts_to_where_the_word_go_must_land():
    run = Played(slow_show())
    run.go(0)
    assert view_at(run, 20).next_go.in_s == pytest.approx(9.5)


def test_lateness_is_that_of_what_happens_not_of_the_word():
    run = Played(slow_show())
    run.go(0)
    run.go(29.5)
    book = book_of(run)
    assert book.said[-1].late_s == pytest.approx(0.0)
    late = {row.cue: row.late_s for row in cue_table(run.compiled.plan, run.records)}
    # The slow department is on its instant; the other, called with it, is early by the difference.
    assert late["m"] == pytest.approx(0.0)
    assert late["v"] == pytest.approx(-0.5)
