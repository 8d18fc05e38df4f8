"""What may not have been sent, in words."""

from played import Played
from small_shows import cue, item, show

from showcaller.calling.doubting import doubt_line, in_doubt
from showcaller.run import commands as c
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls

HAZARD = {"kind": "lift", "caution": "Stand clear.", "responsible": "I. Marr"}


def recovered(*doubts):
    outlets = [{"kind": "osc_udp", "id": x, "name": f"Desk {x.upper()}", "port": 9000} for x in "uw"]
    messages = [{"kind": "osc", "outlet": x, "address": "/a"} for x in "uw"]
    cues = [cue(f"c{n}", str(n), n * 5.0, messages=messages) for n in range(1, 8)]
    cues.append(cue("h", "9", 50, messages=messages, hazard=HAZARD))
    run = Played(show([item("s", 60, cues)], outlets=outlets))
    run.go(1)
    run.at(2, c.Recovered(5, doubts=tuple(doubts)))
    book = RunBook(run.compiled, compile_show_calls(run.compiled.plan))
    book.take(run.records)
    return run, book


def test_every_cue_in_doubt_is_named_with_where_its_messages_were_for():
    _, book = recovered("c1\nu", "c1\nw", "c2\nw")
    assert [row.words for row in in_doubt(book)] == [
        "Lights 1 was fired, and its messages to Desk U and Desk W may not have been sent",
        "Lights 2 was fired, and its messages to Desk W may not have been sent",
    ]
    assert (
        doubt_line(book, "Z")
        == "Fired, but may not have been sent: Lights 1, Lights 2. Z: send now, or leave."
    )


def test_a_long_list_is_counted_and_a_hazard_is_marked():
    _, book = recovered(*(f"c{n}\nu" for n in range(1, 8)), "h\nu")
    assert "Lights 4 and 4 more" in doubt_line(book, "Z")
    assert in_doubt(book)[-1].hazard


def test_what_was_settled_is_no_longer_listed():
    run, book = recovered("c1\nu")
    run.at(3, c.Settle("c1", False))
    book.take(run.records)
    assert in_doubt(book) == ()
    assert doubt_line(book, "Z") == ""


def test_sent_now_a_cue_leaves_for_the_outlets_that_are_in_doubt_alone():
    run, _ = recovered("c1\nw")
    out = run.step(c.Settle("c1", True), 3_000_000_000)
    assert out.only == {(0, 0): frozenset({"w"})}
