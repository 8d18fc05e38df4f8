"""Pages read aloud: opened, ticked, taken back, closed; before the show, on hold, from any desk, replayed."""

import json

import pytest
from played import Played
from small_shows import cue, document, item

from showcaller.model import DocumentError, parse_show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.calls_with import admitted
from showcaller.run.codec import input_dict, input_from
from showcaller.run.compiled import NS
from showcaller.run.machine import first_state, step

CLEARANCES = [
    {"kind": "yes", "id": "deck", "name": "Deck clear", "position": "Deck chief"},
    {"kind": "reading", "id": "gust", "name": "Gust", "position": "Rigger", "unit": "m/s", "limit": 9,
     "stale_after_s": 60, "source": "mast"},
]  # fmt: skip
PAGES = [
    {"id": "stop", "name": "Show stop", "kind": "show stop", "reader": "Caller", "lines": [
        {"says": "Hold, please. Hold, please."},
        {"says": "Deck, are you clear?", "who": "Deck chief", "clearance": "deck"},
        {"says": "Rigging, your reading?", "who": "Rigger", "clearance": "gust", "action": "lower the sail"},
    ]},
    {"id": "doors", "name": "House open", "kind": "house open", "reader": "Stage manager",
     "lines": [{"says": "The house is open."}]},
]  # fmt: skip


def show(pages=PAGES):
    song = item("s", 60, [cue("a", "1", 0), cue("b", "2", 30)])
    return parse_show(json.dumps(document([song], clearances=CLEARANCES, pages=pages)))


def told(events, kind):
    return [e for e in events if isinstance(e, kind)]


def test_before_the_first_item_a_page_is_opened_ticked_and_closed_and_the_log_has_how_long_it_took():
    run = Played(show())
    assert told(run.at(2, c.OpenPage("doors", "Ada")), ev.PageOpened) == [
        ev.PageOpened(page="doors", by="Ada")
    ]
    assert told(run.at(5, c.TickLine("doors", 1, "Ada")), ev.LineTicked)[0].stood is None
    closed = told(run.at(9.5, c.ClosePage("doors", "Ada")), ev.PageClosed)
    assert closed == [ev.PageClosed(page="doors", open_s=7.5, ticked=1, lines=1, by="Ada")]
    assert run.state.pages == {}
    assert run.state.begun_ns is None, "nothing has begun by it"


def test_on_hold_lines_are_ticked_with_how_their_clearance_stood_and_nothing_else_moves():
    run = Played(show())
    run.go(0)
    run.at(10, c.Hold("a person on the crane"))
    before = run.state
    run.at(11, c.OpenPage("stop"))
    run.at(12, c.TickLine("stop", 1))
    assert told(run.at(13, c.TickLine("stop", 2)), ev.LineTicked)[0].stood == "waiting for Deck chief"
    run.at(14, c.Clear("gust", True, 8.5))
    assert told(run.at(15, c.TickLine("stop", 3)), ev.LineTicked)[0].stood == "8.5 of 9 m/s"
    after = run.state
    assert (after.place, after.marks, after.clock_ns, after.phase, after.held_at_ns) == (
        before.place, before.marks, before.clock_ns, before.phase, before.held_at_ns,
    )  # fmt: skip
    assert {n: t.at_ns / NS for n, t in after.pages["stop"].ticks.items()} == {1: 12, 2: 13, 3: 15}


def test_over_its_limit_the_log_says_so():
    run = Played(show())
    run.at(1, c.OpenPage("stop"), c.Clear("gust", True, 12))
    assert told(run.at(2, c.TickLine("stop", 3)), ev.LineTicked)[0].stood == "12 m/s is over 9"


def test_a_tick_is_taken_back_and_a_page_opened_again_begins_anew_with_the_old_ticks_in_the_log():
    run = Played(show())
    run.at(1, c.OpenPage("stop"), c.TickLine("stop", 1))
    run.at(2, c.UntickLine("stop", 1))
    assert run.state.pages["stop"].ticks == {}
    run.at(3, c.TickLine("stop", 1), c.ClosePage("stop"))
    run.at(200, c.OpenPage("stop"))
    assert (run.state.pages["stop"].since_ns, run.state.pages["stop"].ticks) == (200 * NS, {})
    events = [e for r in run.records for e in r.events]
    assert len(told(events, ev.LineTicked)) == 2


def test_two_pages_may_be_open_and_the_end_of_the_run_closes_both():
    run = Played(show())
    run.at(1, c.OpenPage("stop"))
    run.at(2, c.OpenPage("doors"))
    events = run.at(10, c.End("over"))
    assert [(e.page, e.open_s) for e in told(events, ev.PageClosed)] == [("stop", 9), ("doors", 8)]
    assert isinstance(events[-1], ev.RunEnded)
    assert run.state.pages == {}


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (c.OpenPage("stop"), "'Show stop' is open already; go on with its next line, or close it first"),
        (c.OpenPage("nil"), "no page 'nil' in this show; name one from the set-up page"),
        (c.TickLine("doors", 1), "'House open' is not open; open the page first"),
        (c.TickLine("stop", 4), "'Show stop' has no line 4; its lines are 1 to 3"),
        (c.TickLine("stop", 0), "'Show stop' has no line 0; its lines are 1 to 3"),
        (c.TickLine("stop", 1), "line 1 of 'Show stop' is ticked already; the next one is in large type"),
        (c.UntickLine("stop", 2), "line 2 of 'Show stop' is not ticked, so there is nothing to take back"),
        (c.ClosePage("doors"), "'House open' is not open; open the page first"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(given, why):
    run = Played(show())
    run.at(1, c.OpenPage("stop"), c.TickLine("stop", 1))
    assert run.refusal(2, given) == why


def test_no_page_is_opened_before_the_run_or_after_it():
    run = Played(show(), started=False)
    assert "open one first" in run.refusal(0, c.OpenPage("stop"))
    run.at(1, c.Start("Ada"))
    run.at(2, c.End("over"))
    assert "has ended" in run.refusal(3, c.OpenPage("stop"))


def test_a_desk_without_the_calls_reads_pages_too():
    run = Played(show(), started=False)
    run.at(0, c.Start("Ada", desk="one"))
    for given in (c.OpenPage("stop"), c.TickLine("stop", 1), c.UntickLine("stop", 1), c.ClosePage("stop")):
        assert admitted(run.state, "two", given) is given


def test_a_change_for_tonight_leaves_open_pages_as_they_are_and_touches_none():
    run = Played(show())
    run.go(0)
    run.at(1, c.OpenPage("stop"), c.TickLine("stop", 1))
    longer = {"do": "set", "at": ["items", "s"], "fields": {"length_s": 90}}
    before = run.state.pages
    run.at(2, c.ChangeTonight(longer, "longer"))
    assert run.state.pages == before
    rewritten = {"do": "set", "at": ["pages", "stop"], "fields": {"name": "Stop"}}
    assert "pages in the book" in run.refusal(3, c.ChangeTonight(rewritten, "renamed"))


def test_what_whole_records_behind_a_gap_tell_of_pages_is_believed():
    run = Played(show())
    run.go(0)
    heard = (
        (4 * NS, (ev.PageOpened(page="doors", by="Ada"),)),
        (5 * NS, (ev.LineTicked(page="stop", line=1, by="Ada"),)),  # its opening is in the gap
        (6 * NS, (ev.LineTicked(page="stop", line=2, by="Ada"), ev.LineUnticked(page="stop", line=1, by=""))),
        (7 * NS, (ev.PageClosed(page="doors", open_s=3, ticked=0, lines=1, by="Ada"),)),
    )
    run.at(20, c.Recovered(10 * NS, missing=3, heard=heard))
    assert list(run.state.pages) == ["stop"]
    assert set(run.state.pages["stop"].ticks) == {2}


def test_as_it_comes_out_of_a_journal_it_leads_to_the_same_state():
    run = Played(show())
    run.go(0)
    run.at(1, c.OpenPage("stop", "Ada"), c.TickLine("stop", 1, "Ada"), c.TickLine("stop", 2, "Bo"))
    run.at(2, c.UntickLine("stop", 1, "Bo"))
    state = first_state(run.compiled)
    for record in run.records:
        state, _ = step(
            run.compiled, state, input_from(json.loads(json.dumps(input_dict(record.input)))), record.t_ns
        )
    assert state == run.state


def test_a_page_whose_clearance_is_missing_is_named_with_what_would_do():
    pages = [{"id": "p", "name": "P", "reader": "Caller", "lines": [{"says": "x", "clearance": "roof"}]}]
    with pytest.raises(
        DocumentError, match=r"pages\[0\].lines\[0\].clearance.*no clearance 'roof'.*deck, gust"
    ):
        show(pages)
    with pytest.raises(DocumentError, match=r"pages\[1\].id.*'p' is used already"):
        show([{"id": "p", "name": "P", "reader": "Caller"}] * 2)


CHECKS = [{"id": "deck-list", "name": "Deck", "kind": "checklist", "reader": "Deck chief", "item": "s",
           "lines": [{"says": "Hatch locked"}, {"says": "Rail pinned"}]}]  # fmt: skip


def test_a_checklist_is_ticked_without_being_opened_and_ticks_can_be_taken_back():
    run = Played(show(CHECKS))
    events = run.at(1, c.TickLine("deck-list", 2, "Deck chief · Kim"))
    assert [type(e) for e in events] == [ev.PageOpened, ev.LineTicked]
    assert [type(e) for e in run.at(2, c.TickLine("deck-list", 1, "Kim"))] == [ev.LineTicked]
    assert "is ticked already" in run.refusal(3, c.TickLine("deck-list", 1, "Kim"))
    run.at(4, c.UntickLine("deck-list", 2, "Kim"))
    assert set(run.state.pages["deck-list"].ticks) == {1}
    assert "has no line 3" in run.refusal(5, c.TickLine("deck-list", 3, "Kim"))
    assert "is not open" in Played(show()).refusal(1, c.TickLine("stop", 1, "Kim")), "a spoken page is opened"


def test_a_checklist_of_no_item_of_the_show_is_refused():
    with pytest.raises(DocumentError, match="item"):
        show([{**CHECKS[0], "item": "nowhere"}])
