"""Changes for tonight: what comes changes, what is over does not, and the log leads to the same place."""

import json

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st
from played import Played
from small_shows import cue, document, follow, item
from wall_show import wall_show

from showcaller.model import parse_show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.changing import edition
from showcaller.run.codec import input_dict, input_from
from showcaller.run.last_edition import changes_in, last_edition
from showcaller.run.machine import first_state, step
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls

PYRO = {"kind": "pyrotechnics", "caution": "Stand clear.", "responsible": "I. Marr"}


def show():
    """Two songs and a talk. The first calls at 0, 10 and 30 s; by itself at 20 s and 2 s after the last."""
    first = [
        cue("a", "1", 0), cue("b", "2", 10), cue("c", "3", 20, fires="by itself"), cue("d", "4", 30),
        follow("e", "5", "d", 2),
    ]  # fmt: skip
    second = [cue("f", "6", 0), cue("g", "7", 15), cue("h", "8", 40, hazard=PYRO)]
    items = [item("one", 60, first), item("two", 90, second), item("three", 30, [])]
    return parse_show(json.dumps(document(items)))


def tonight(change, words="as asked"):
    return c.ChangeTonight(change, words, "Ada")


def moved(item_id, cue_id, at_s):
    anchor = {"at": "time", "seconds": at_s}
    return tonight({"do": "set", "at": ["items", item_id, "cues", cue_id], "fields": {"anchor": anchor}})


class Tonight(Played):
    """A run whose show may be changed."""

    def step(self, given, now_ns):
        out = super().step(given, now_ns)
        self.compiled = out.compiled or self.compiled
        return out


@pytest.fixture
def run():
    return Tonight(show())


def fired(events):
    return [e.cue for e in events if isinstance(e, ev.Fired)]


def test_a_cue_that_is_moved_comes_at_its_new_instant_and_only_then(run):
    run.go(0)
    run.at(5, moved("one", "c", 25))
    assert fired(run.at(24.9)) == []
    assert fired(run.at(25)) == ["c"]


def test_a_called_cue_that_is_moved_behind_another_is_called_behind_it(run):
    run.go(0)
    run.at(5, moved("one", "b", 45))
    assert fired(run.go(30)) == ["d"], "the next go is another now"
    assert fired(run.go(45)) == ["b"]


def test_a_cue_put_in_before_the_next_go_is_the_next_go(run):
    run.go(0)
    new = {
        "id": "n",
        "department": "video",
        "number": "90",
        "label": "hands",
        "anchor": {"at": "time", "seconds": 7},
    }
    run.at(3, tonight({"do": "put", "at": ["items", "one", "cues"], "index": 1, "part": new}))
    assert run.next_go() == "one:n"
    assert fired(run.go(7)) == ["n"]
    assert fired(run.go(10)) == ["b"]


def test_a_cue_taken_out_does_not_come_and_what_followed_it_goes_its_own_way(run):
    run.go(0)
    refused = run.refusal(3, tonight({"do": "take", "at": ["items", "one", "cues"], "key": "d"}))
    assert "e" in refused or "'d'" in refused, "another cue follows it: that has to be said"
    own = {"anchor": {"at": "time", "seconds": 33}}
    both = [
        {"do": "set", "at": ["items", "one", "cues", "e"], "fields": own},
        {"do": "take", "at": ["items", "one", "cues"], "key": "d"},
    ]
    run.at(3, tonight({"do": "together", "changes": both}))
    run.go(10)
    assert fired(run.at(50)) == ["c", "e"]


def test_all_or_nothing_of_several_changes(run):
    run.go(0)
    run.go(10)
    both = [
        {"do": "set", "at": ["items", "two"], "fields": {"out": True}},
        {"do": "set", "at": ["items", "one", "cues", "a"], "fields": {"label": "too late"}},
    ]
    assert "has fired" in run.refusal(12, tonight({"do": "together", "changes": both}))
    assert not run.compiled.plan.show.items[1].out


def test_an_item_cut_moved_and_put_in_is_so_in_what_comes(run):
    run.go(0)
    run.at(40, tonight({"do": "set", "at": ["items", "two"], "fields": {"out": True}}))
    run.go(41)
    run.go(42)
    assert run.next_go() == "three:start"
    run.at(43, tonight({"do": "set", "at": ["items", "two"], "fields": {"out": False}}))
    assert run.next_go() == "two:start"
    run.at(44, tonight({"do": "move", "at": ["items"], "key": "three", "index": 1}))
    assert run.next_go() == "three:start"
    encore = {"kind": "song", "id": "encore", "name": "Encore", "length_s": 50}
    run.at(45, tonight({"do": "put", "at": ["items"], "index": 1, "part": encore}))
    assert [i.planned.item.id for i in run.compiled.items] == ["one", "encore", "three", "two"]
    started = [e for n in range(4) for e in run.go(60 + n) if isinstance(e, ev.ItemStarted)]
    assert [e.item for e in started] == ["encore", "three", "two"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (moved("one", "a", 50).change, "has fired"),
        ({"do": "take", "at": ["items", "one", "cues"], "key": "a"}, "has fired"),
        (moved("one", "b", 4).change, "is over: give a later place"),
        (moved("one", "c", 4).change, "is over: give a later place"),
        ({"do": "set", "at": ["items", "one"], "fields": {"out": True}}, "One is on"),
        ({"do": "move", "at": ["items"], "key": "two", "index": 0}, "One is on"),
        ({"do": "set", "at": ["items", "one"], "fields": {"length_s": 4}}, "past its end at 4 s"),
        ({"do": "set", "at": ["items", "two", "cues", "h"], "fields": {"hazard": None}}, "hazardous"),
        ({"do": "set", "at": ["items", "two", "cues", "h"], "fields": {"label": "x"}}, "hazardous"),
        ({"do": "set", "at": ["items", "two", "cues", "g"], "fields": {"hazard": PYRO}}, "hazardous"),
        ({"do": "set", "at": [], "fields": {"curfew": "22:30"}}, "curfew in the book"),
        ({"do": "set", "at": ["items", "two"], "fields": {"length_s": 90}}, "how it is already"),
        ({"do": "set", "at": ["items", "nine"], "fields": {}}, "no"),
        ({"do": "dance"}, "not a change of a show"),
    ],
)
def test_what_cannot_be_changed_tonight_is_refused_and_says_why(run, change, says):
    run.go(0)
    assert says in run.refusal(5, tonight(change))


def test_what_is_on_is_not_made_shorter_than_it_has_been(run):
    run.go(0)
    shorter = {"do": "set", "at": ["items", "one"], "fields": {"length_s": 62}}
    assert "has been on for 70 s" in run.refusal(70, tonight(shorter))


def test_a_hazard_can_be_taken_out(run):
    run.go(0)
    run.at(5, tonight({"do": "take", "at": ["items", "two", "cues"], "key": "h"}))
    assert "h" not in run.compiled.where


def test_everything_may_have_been_played_but_for_an_item_put_in_at_the_end(run):
    for n in range(7):
        run.go(100 * n, confirmed=True)
    assert run.state.place.item == 3
    encore = {"kind": "song", "id": "encore", "name": "Encore", "length_s": 50}
    run.at(2000, tonight({"do": "put", "at": ["items"], "index": 3, "part": encore}))
    assert run.next_go() == "encore:start"


def test_a_standby_is_said_again_for_what_changed_and_for_nothing_else(run):
    run.go(0)
    run.at(2, c.Standby("one:standby:b", ("b",)), c.Standby("one:standby:d", ("d",)), c.Answer())
    run.at(5, moved("one", "b", 12))
    item_now = run.compiled.items[0]
    marks = {item_now.ids[k]: m.status for k, m in run.state.marks[0].items()}
    assert marks == {"a": "fired", "d": "answered"}
    book = RunBook(run.compiled, compile_show_calls(run.compiled.plan))
    assert book.sheets, "the sheet of the new edition is what is called by"


def test_the_last_go_can_still_be_taken_back(run):
    run.go(0)
    run.go(10)
    run.at(11, moved("two", "g", 20), moved("one", "d", 35))
    run.at(12, c.Back())
    assert run.next_go() == "one:b"
    assert fired(run.go(13)) == ["b"]


def test_while_held_and_back_again(run):
    run.go(0)
    run.at(5, c.Hold("rain"))
    run.at(50, moved("one", "c", 22))
    run.at(60, c.Resume())
    assert fired(run.at(60 + 22 - 5 - 0.01)) == []
    assert fired(run.at(60 + 22 - 5)) == ["c"]


def test_only_while_a_run_is_on(run):
    before = Tonight(show(), started=False)
    assert "no show is open" in before.refusal(0, moved("one", "c", 25))
    run.at(1, c.End("over"))
    assert "has ended" in run.refusal(2, moved("one", "c", 25))


def test_the_log_leads_to_the_same_place_and_tells_what_was_changed(run):
    run.go(0)
    run.at(5, moved("one", "c", 25))
    run.refusal(6, moved("one", "a", 25))
    run.at(7, tonight({"do": "set", "at": ["items", "two"], "fields": {"out": True}}, "two is out"))
    run.go(12)
    opened = Tonight(show(), started=False)
    compiled, state = opened.compiled, first_state(opened.compiled)
    for record in run.records:
        state, out = step(compiled, state, input_from(input_dict(record.input)), record.t_ns)
        compiled = out.compiled or compiled
    assert state == run.state
    assert compiled.plan.show == run.compiled.plan.show == last_edition(show(), run.records)
    assert [made.words for made in changes_in(run.records)] == ["as asked", "two is out"]
    book = RunBook(opened.compiled, compile_show_calls(opened.compiled.plan))
    book.take(run.records)
    assert book.state == run.state
    assert [given.words for _, given in book.changes] == ["as asked", "two is out"]
    assert any("two is out" in said.text for said in book.said)


def behind_a_gap(*events):
    """A new run of the same show, taken up where these events are told behind a gap of its log."""
    run = Tonight(show())
    run.at(1, c.Recovered(gap_ns=5, missing=7, heard=((500_000_000, tuple(events)),)))
    return run


def test_a_change_told_behind_a_gap_of_the_log_is_made_again():
    before = Tonight(show())
    before.go(0)
    new = {
        "id": "n",
        "department": "video",
        "number": "90",
        "label": "x",
        "anchor": {"at": "time", "seconds": 7},
    }
    told = before.at(3, tonight({"do": "put", "at": ["items", "one", "cues"], "index": 1, "part": new}))
    told += before.go(7)
    run = behind_a_gap(*[e for e in told if isinstance(e, ev.ShowChanged | ev.Fired | ev.ItemStarted)])
    assert run.compiled.plan.show == before.compiled.plan.show == last_edition(show(), run.records)
    i, k = run.compiled.where["n"]
    assert run.state.marks[i][k].status == "fired"
    assert run.state.phase == "held"
    opened = Tonight(show(), started=False).compiled
    book = RunBook(opened, compile_show_calls(opened.plan))
    book.take(run.records)
    assert book.compiled.plan.show == run.compiled.plan.show


def test_what_was_passed_over_in_a_gap_is_named_also_where_a_change_has_moved_the_gos():
    """The log breaks before the go of d; in the gap a cue that was left out is cut, and f is given."""
    sent = {"messages": [{"kind": "osc", "outlet": "desk", "address": "/x"}]}
    cues = [cue(name, str(n), n * 10, **sent) for n, name in enumerate("abdf", 1)]
    outlets = [{"kind": "osc_udp", "id": "desk", "name": "Desk", "port": 9}]
    run = Tonight(parse_show(json.dumps(document([item("one", 60, cues)], outlets=outlets))))
    run.go(0)
    run.go(10)
    run.at(20, c.Skip("one:b"))
    assert run.next_go() == "one:d"
    cut = {"do": "take", "at": ["items", "one", "cues"], "key": "b"}
    told = (
        ev.ShowChanged(words="b is cut", by="Ada", items=("one",), change=cut),
        ev.Fired(item="one", cue="f", go="one:f", planned_s=40, actual_s=40, by="go"),
    )
    run.at(50, c.Recovered(gap_ns=5, missing=7, heard=((40_000_000_000, told),)))
    assert [d.cue for d in run.state.doubts] == ["d"]


def test_what_hangs_on_a_change_that_is_missing_is_said_and_the_run_is_taken_up_all_the_same():
    gone = ev.Fired(item="one", cue="n", go="one:n", planned_s=7, actual_s=7, by="go")
    run = behind_a_gap(gone, ev.ItemStarted(item="encore", at_s=0, planned_start_s=0))
    gap = next(e for r in run.records for e in r.events if isinstance(e, ev.LogGap))
    assert "a change of the show is missing too" in gap.why
    assert run.state.phase == "held"


def test_a_look_is_changed_and_no_item_with_it():
    run = Tonight(wall_show())
    look = run.compiled.plan.show.looks[0].id
    out = run.step(tonight({"do": "set", "at": ["looks", look], "fields": {"name": "Another"}}), 1)
    assert out.refused is None
    assert [e.items for e in out.events if isinstance(e, ev.ShowChanged)] == [()]


def test_what_did_not_change_is_the_same_object(run):
    before = run.compiled
    run.go(0)
    run.at(5, moved("one", "c", 25))
    assert run.compiled.items[1] is before.items[1]
    assert run.compiled.items[0] is not before.items[0]


KEYS = st.sampled_from(["do", "at", "fields", "part", "key", "index", "changes", "anchor", "id"])
WORDS = st.sampled_from(["set", "put", "take", "move", "items", "one", "cues", "a", "id", "looks"])
JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 9) | st.text(max_size=4) | WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=5),
    max_leaves=12,
)


@settings(max_examples=400, deadline=None)
@drawn(st.dictionaries(KEYS, JSON, max_size=6))
def test_whatever_a_desk_sends_is_a_sentence_or_a_show(change):
    found = edition(Tonight(show(), started=False).compiled, tonight(change))
    assert not isinstance(found, str) or (found and "\n" not in found and "Traceback" not in found)


def test_a_cue_that_was_taken_back_and_out_and_is_in_doubt_is_not_sent_and_can_be_left(run):
    run.go(0)
    run.go(10)
    run.at(11, c.Back())
    run.at(12, tonight({"do": "take", "at": ["items", "one", "cues"], "key": "b"}))
    run.at(13, c.Recovered(0, doubts=("b\nu",)))
    assert "cut tonight" in run.refusal(14, c.Settle("b", send=True))
    run.at(15, c.Settle("b", send=False))
    assert run.state.doubts == ()
