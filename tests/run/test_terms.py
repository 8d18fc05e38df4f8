"""Two engines, one show: the term, what the other may have fired unseen, what it tells when it is heard."""

import pytest
from played import Played
from small_shows import cue, follow, item, show

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.calls_with import admitted
from showcaller.run.machine import first_state
from showcaller.run.rights import SEATS, may
from showcaller.run.runlog import Record
from showcaller.run.state import Doubt, Place

OUTLETS = [{"kind": "osc_udp", "id": "u", "name": "Desk U", "port": 9000}]


def sends(name):
    return [{"kind": "osc", "outlet": "u", "address": f"/{name}", "args": []}]


@pytest.fixture
def run():
    cues = [
        cue("a", "1", 0, messages=sends("a")),
        cue("x", "2", 5, fires="by itself", messages=sends("x")),
        follow("y", "3", "x", 1, messages=sends("y")),
        cue("b", "4", 10, messages=sends("b")),
        cue("c", "5", 20, messages=sends("c")),
    ]
    made = Played(show([item("s", 60, cues)], outlets=OUTLETS))
    made.go(1)
    return made


def test_what_came_due_unseen_counts_as_fired_is_in_doubt_and_never_leaves_by_itself(run):
    out = run.step(c.RaiseTerm(1, "back of house", "Mo"), 7_300_000_000)  # x was due at 6, y at 7
    assert out.sends == []
    assert out.events == [
        ev.TermRaised(term=1, machine="back of house", by="Mo", planned=False),
        ev.CuesDoubtful(cues=("x", "y")),
    ]
    assert run.state.term == 1
    assert run.state.doubts == (Doubt("x", "u"), Doubt("y", "u"))
    assert run.at(59) == [], "nor later"
    assert [e.kind for e in run.at(60, c.Settle("x", True))] == ["settled"]
    assert run.sends[-1][0] == "x", "a person's word sends it"


def test_a_planned_handing_over_leaves_nothing_in_doubt_and_the_term_only_rises(run):
    run.step(c.RaiseTerm(3, "back", planned=True), 7_300_000_000)
    assert run.state.doubts == ()
    assert "in term 3 already" in run.refusal(8, c.RaiseTerm(3, "front"))


def test_an_engine_that_hears_a_higher_term_fires_nothing_and_refuses_everything(run):
    assert run.at(2, c.HigherTerm(1, "back")) == [ev.OutputsHeld(term=1, machine="back")]
    assert run.next_ns is None
    assert "back has taken over" in run.refusal(3, c.Go("s:b"))
    assert run.at(30) == []
    run.step(c.RaiseTerm(2, "front", planned=True), 31_000_000_000)
    assert run.state.held_back == "", "it may take over again"
    assert "does not go before it" in run.refusal(32, c.HigherTerm(1, "back"))


def told_apart(*events):
    return tuple((9_000_000_000 + n, (event,)) for n, event in enumerate(events))


def fired(name, go=None):
    return ev.Fired(item="s", cue=name, go=go, planned_s=1, actual_s=1, by="go" if go else "itself")


def test_what_the_other_did_unseen_is_in_doubt_its_gos_are_not_offered_again_its_notes_are_kept(run):
    run.step(c.RaiseTerm(1, "back"), 2_000_000_000)
    note = ev.NoteTaken(
        text="a lamp is out", to="", item="s", at_s=1.0, bar=None, beat=None, cue=None, about=""
    )
    heard = told_apart(fired("b", "s:b"), fired("a", "s:start"), note)
    out = run.step(c.HeardApart(0, "front", heard), 3_000_000_000)
    assert out.sends == []
    told = next(e for e in out.events if isinstance(e, ev.ApartHeard))
    assert (told.cues, told.twice, told.records) == (("b",), ("a",), 3)
    assert note in out.events
    assert run.state.doubts == (Doubt("b", "u"),)
    assert run.state.place == Place(0, 2), "behind b: c is next"
    record = Record(9, 1, 1, c.HeardApart(0, "front", heard), tuple(out.events), "desk")
    assert Record.from_bytes(record.to_bytes()) == record


def test_what_that_engine_had_in_doubt_itself_is_in_doubt_here(run):
    run.step(c.RaiseTerm(2, "back"), 2_000_000_000)
    heard = told_apart(ev.CuesDoubtful(cues=("x", "c")), fired("c", "s:c"))
    out = run.step(c.HeardApart(1, "front", heard), 3_000_000_000)
    assert next(e for e in out.events if isinstance(e, ev.ApartHeard)).cues == ("c", "x")
    assert "x" not in [e.cue for e in run.at(30) if isinstance(e, ev.Fired)], "nor does it fire by itself"
    assert {d.cue for d in run.state.doubts} == {"x", "c"}


def test_a_log_of_before_reads_as_term_0(run):
    assert first_state(run.compiled).term == 0


def test_a_seat_may_what_it_is_for_and_one_that_is_not_known_nothing(run):
    note, go, look = c.WriteNote("x"), c.Go("s:b"), c.PutLook("l")
    assert [[may(s, "d", x) for x in (note, go, look)] for s in (*SEATS, "roof")] == [
        [True, True, True], [True, False, True], [True, False, False], [False, False, False],
        [True, True, True], [False, False, False],
    ]  # fmt: skip
    assert not may("caller", "d", c.TakeCalls("another", "Mo", "x"))
    given = admitted(run.state, "d", go, "stage")
    assert given == c.NotCalling(command="go", desk="d", seat="stage")
