"""A desk's book of a run: the log folded, in whatever order its records come."""

import pytest
from books import book_of
from hypothesis import given
from hypothesis import strategies as st
from played import Played
from small_shows import two_songs

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runbook import OutletWord, RunBook, Said
from showcaller.timing.calls.compiling import compile_show_calls


def evening():
    """A run with a bit of everything."""
    run = Played(two_songs())
    run.at(1, c.Standby("first:standby:a", ("a",)), c.Answer())
    run.go(2)
    run.go(12.2)
    run.go(20)
    run.at(30, c.Skip("first:m1"), c.WriteNote("haze low"), c.Go("nothing"))
    run.go(41.5)
    run.go(60)
    run.at(61, c.Back())
    run.go(62)
    run.at(80, c.End("over"))
    return run


EVENING = evening()


def test_the_books_state_is_the_engines():
    assert book_of(EVENING).state == EVENING.state


@given(st.permutations(EVENING.records), st.lists(st.sampled_from(EVENING.records), max_size=10), st.data())
def test_records_may_come_in_any_order_and_more_than_once(records, again, data):
    book = RunBook(EVENING.compiled, compile_show_calls(EVENING.compiled.plan))
    arriving = [*records, *again]
    while arriving:
        size = data.draw(st.integers(1, len(arriving)))
        book.take(arriving[:size])
        arriving = arriving[size:]
    assert book.records == EVENING.records
    assert book.state == EVENING.state
    assert book.said == book_of(EVENING).said
    assert book.missing_from(len(EVENING.records)) is None


def test_a_gap_is_known_and_what_lies_behind_it_waits():
    book = RunBook(EVENING.compiled, compile_show_calls(EVENING.compiled.plan))
    records = EVENING.records
    assert book.missing_from(0) is None
    assert book.missing_from(3) == 1, "a heartbeat told of records that have not come"
    book.take(records[:3])
    book.take(records[5:7])
    assert len(book.records) == 3
    assert book.missing_from(3) == 4
    book.take(records[3:5])
    assert len(book.records) == 7
    assert book.missing_from(7) is None


def test_what_was_said_and_how_late_each_go_was():
    said = book_of(EVENING).said
    assert said[0].text.startswith("Standby Lights 1")
    assert (said[0].late_s, said[0].go) == (None, False)
    assert said[1] == Said("Lights 1, go", None, True, "cue a", name="Lights 1"), (
        "an item's start has no lateness"
    )
    assert said[2].text.endswith(", go")
    assert said[2].late_s == pytest.approx(0.2)
    assert said[4].late_s is None, "a go by eye cannot be late"
    assert said[3].by == "itself", "what fired by itself is told as well, in one line"
    assert [s.late_s for s in said if s.go][3] == pytest.approx(-0.5)
    assert Said("taken back: Lights 8; what was sent stays sent", None, False) in said


def test_items_that_ran_notes_and_refusals_are_known():
    run = evening()
    book = book_of(run)
    assert book.lengths_s == {"first": 60, "second": 18}
    assert book.started_ns["second"] == 62_000_000_000
    assert [n.text for n in book.notes] == ["haze low"]
    run = Played(two_songs())
    run.at(1, c.Go("nothing"))
    refused = book_of(run)
    assert refused.refused == "that is no longer the next go: read the line in the box, then press go again"
    run.at(2, c.Report(ev.MessagesFailed(outlet="u", cue="a", why="x")))
    assert book_of(run).refused is not None, "an outlet's word does not answer a refusal"
    run.at(3, c.Go("first:start"))
    assert book_of(run).refused is None


def test_the_last_word_on_an_outlet_counts():
    run = Played(two_songs())
    for event in (
        ev.OutletState(outlet="u", state="closed", why="connection refused"),
        ev.OutletState(outlet="u", state="open", why=""),
        ev.MessagesSent(outlet="u", cue="a", late_ms=0.3, messages=1),
        ev.MessagesFailed(outlet="w", cue="a", why="no route"),
    ):
        run.at(1, c.Report(event))
    book = book_of(run)
    assert book.outlets == {"u": OutletWord("open", 0.3), "w": OutletWord("failed", None, "no route")}


def test_every_record_makes_a_new_version_and_a_known_one_does_not():
    book = book_of(EVENING)
    version = book.version
    book.take(EVENING.records)
    assert version == len(EVENING.records)
    assert book.version == version
