"""What a page is told: what is to come, how long until then, clearances, the running sheet."""

import json

import pytest
from books import book_of
from hypothesis import given, settings
from hypothesis import strategies as st
from played import Played
from small_shows import cue, item, show, two_songs

from showcaller.crew.entry import Session
from showcaller.crew.hub import asked
from showcaller.crew.outline import outline_of
from showcaller.crew.page_state import page_state, sheet_state
from showcaller.crew.positions import positions_of
from showcaller.run import commands as c
from showcaller.run.compiled import NS


def position(run, key):
    return next(p for p in positions_of(run.compiled.plan.show) if p.key == key)


def told(run, key, t_s):
    book, one = book_of(run), position(run, key)
    return page_state(book, one, outline_of(book, one), round(t_s * NS))


def begun(**more):
    run = Played(two_songs(**more))
    run.go(0)
    return run


def test_positions_are_the_departments_and_those_who_clear():
    clearances = [
        {"kind": "yes", "id": "path", "name": "Path clear", "position": "Moves"},
        {"kind": "yes", "id": "pit", "name": "Pit clear", "position": "Pit guard"},
        {"kind": "yes", "id": "gate", "name": "Gate shut", "position": "pit guard"},
    ]
    found = positions_of(show([item("first", 60, [cue("a", "1", 0)])], clearances=clearances))
    assert [(p.key, p.name, p.clearances) for p in found] == [
        ("d:lights", "Lights", ()),
        ("d:video", "Video", ()),
        ("d:moves", "Moves", ("path",)),
        ("c:Pit guard", "Pit guard", ("pit", "gate")),
        ("w:", "Wings", ()),
        ("t:", "Clock", ()),
    ]


def test_what_is_next_is_told_on_the_runs_clock_to_be_counted_down_by_the_page():
    state = told(begun(), "d:lights", 4)
    first = state["next"][0]
    assert (first["name"], first["how"], first["firm"]) == ("Lights 2", "go", True)
    assert not state["frozen"]
    assert first["at"] == 10_000
    assert [row["how"] for row in state["next"][:5]] == ["go", "automatic", "automatic", "automatic", "eye"]
    assert state["next"][4]["sees"] == "she turns"
    assert not state["next"][4]["firm"]


def test_while_the_clock_stands_nothing_counts_down():
    run = begun()
    run.at(4, c.Hold("rain"))
    early, late = told(run, "d:lights", 5), told(run, "d:lights", 65)
    assert early["frozen"]
    assert early["held"] == {"since": 4000, "reason": "rain"}
    assert early["next"][0]["at"] == late["next"][0]["at"] == 6000  # 6 s from wherever now is


def test_the_same_is_told_while_nothing_happens_so_that_nothing_need_be_sent():
    run = begun()
    assert told(run, "d:video", 4) == told(run, "d:video", 4.9)


def test_before_the_show_nothing_is_promised_and_after_it_nothing_is_left():
    run = Played(two_songs(), started=False)
    assert told(run, "d:lights", 0)["next"] == []
    run = begun()
    run.at(5, c.End())
    assert told(run, "d:lights", 6)["next"] == []
    assert told(run, "d:lights", 6)["phase"] == "ended"


def test_the_first_cue_of_an_item_waits_for_the_item_to_begin():
    run = begun()
    for at_s in (10, 20):
        run.go(at_s)
    run.at(25, c.Clear("path", True))
    run.go(30, confirmed=True)
    run.go(40)
    first = told(run, "d:lights", 41)["next"][0]
    assert (first["name"], first["item"], first["firm"]) == ("Lights 8", "Second", False)


def test_the_clearance_is_with_the_position_that_gives_it_and_says_how_it_stands():
    run = begun()
    assert told(run, "d:lights", 1)["clearances"] == []
    (row,) = told(run, "d:moves", 1)["clearances"]
    assert (row["id"], row["there"], row["how"], row["needed"]) == ("path", False, "waiting", True)
    run.at(2, c.Clear("path", True, None, "Moves · Kim"))
    assert told(run, "d:moves", 3)["clearances"][0]["how"] == "clear"
    run.at(4, c.Clear("path", False))
    assert told(run, "d:moves", 5)["clearances"][0]["how"] == "withdrawn"


@pytest.mark.parametrize(
    ("t_s", "value", "how"), [(3, 8.0, "clear"), (3, 9.5, "not good"), (70, 8.0, "not good")]
)
def test_a_reading_over_its_limit_or_too_old_does_not_stand(t_s, value, how):
    gust = {"kind": "reading", "id": "gust", "name": "Gust", "position": "Crane", "unit": "m/s", "limit": 9,
            "stale_after_s": 60, "source": "the engineer's letter"}  # fmt: skip
    run = Played(
        show([item("first", 200, [cue("a", "1", 0), cue("b", "2", 100, needs=["gust"])])], clearances=[gust])
    )
    run.go(0)
    run.at(2, c.Clear("gust", True, value))
    (row,) = told(run, "c:Crane", t_s)["clearances"]
    assert (row["how"], row["value"], row["limit"], row["unit"]) == (how, value, 9, "m/s")
    assert told(run, "c:Crane", 3)["lamp"] is None
    assert [row["name"] for row in told(run, "c:Crane", 3)["next"]] == ["Lights 2"]


def test_notes_are_those_for_the_department_and_for_everyone():
    run = begun()
    run.at(1, c.WriteNote("for all"), c.WriteNote("for lights", "lights"), c.WriteNote("for video", "video"))
    assert [note["text"] for note in told(run, "d:lights", 2)["notes"]] == ["for all", "for lights"]


def test_the_running_sheet_has_every_item_with_the_positions_cues_and_what_became_of_them():
    run = begun()
    run.go(10)
    book = book_of(run)
    sheet = sheet_state(book, outline_of(book, position(run, "d:video")))
    assert [(row["item"], len(row["cues"])) for row in sheet["rows"]] == [("First", 1), ("Second", 0)]
    assert sheet["rows"][0]["cues"][0]["status"] == "fired"
    assert sheet["rows"][0]["on"]


@given(
    st.lists(
        st.sampled_from(
            ["go", "hold", "resume", "standby", "answer", "skip", "jump", "back", "clear", "end"]
        ),
        max_size=14,
    ),
    st.data(),
)
@settings(max_examples=60)
def test_whatever_happens_every_position_can_be_told_and_its_cues_to_come_are_in_order(acts, data):
    run = Played(two_songs())
    for n, act in enumerate(acts):
        run.at(n * 2.5)
        given_ = {
            "go": c.Go(run.next_go(), True), "hold": c.Hold(), "resume": c.Resume(), "answer": c.Answer(),
            "standby": c.Standby(f"l{n}", ("b", "f")), "skip": c.Skip(run.next_go()),
            "jump": c.Jump("second"),
            "back": c.Back(), "clear": c.Clear("path", True), "end": c.End(),
        }[act]  # fmt: skip
        run.at(n * 2.5, given_)
    at_s = len(acts) * 2.5 + data.draw(st.floats(0, 80))
    for one in positions_of(run.compiled.plan.show):
        state = told(run, one.key, at_s)
        json.dumps([state, sheet_state(book_of(run), outline_of(book_of(run), one))])
        ahead = [row["at"] for row in state["next"]]
        assert ahead == sorted(ahead)
        fired = {cue for item in run.compiled.items for cue in item.ids if run.status(cue) == "fired"}
        assert not fired & {row["cue"] for row in state["next"]}


def test_what_comes_next_is_what_the_caller_has_jumped_on_to():
    items = [item(name.lower(), 60, [cue(f"c{n}", str(n), 0)]) | {"name": name} for n, name in
             enumerate(("First", "Second", "Third"), 1)]  # fmt: skip
    run = Played(show(items))
    run.go(0)
    assert told(run, "d:lights", 5)["item"]["then"] == "Second"
    run.at(6, c.Jump("third", None, cue_up=False))
    assert told(run, "d:lights", 7)["item"]["then"] == "Third"


def test_checklists_are_with_the_position_that_ticks_them_and_only_it_may():
    pages = [
        {"id": "deck", "name": "Deck", "kind": "checklist", "reader": "Deck chief", "item": "second",
         "lines": [{"says": "Hatch locked"}, {"says": "Rail pinned"}]},
        {"id": "lx", "name": "Lamps", "kind": "checklist", "reader": "lights",
         "lines": [{"says": "Haze on"}]},
    ]  # fmt: skip
    run = begun(pages=pages)
    deck, lights = position(run, "c:Deck chief"), position(run, "d:lights")
    assert (deck.checklists, lights.checklists) == (("deck",), ("lx",))
    run.at(2, c.TickLine("deck", 2, "Deck chief · Kim"))
    (row,) = told(run, "c:Deck chief", 3)["checks"]
    assert (row["item"], row["due"], [line["by"] for line in row["lines"]]) == (
        "Second", True, [None, "Deck chief · Kim"]
    )  # fmt: skip
    assert told(run, "d:video", 3)["checks"] == []
    session = Session("s", "", "", "Kim", "c:Deck chief", 0.0)
    said = {"k": "tick", "page": "deck", "line": 1, "on": True}
    assert asked(said, session, deck) == c.TickLine("deck", 1, "Deck chief · Kim")
    assert asked({**said, "on": False}, session, deck) == c.UntickLine("deck", 1, "Deck chief · Kim")
    assert asked({**said, "page": "lx"}, session, deck) is None
    for wrong in ({"line": "1"}, {"line": True}, {"page": 3}):
        with pytest.raises(ValueError, match="a tick has a page and a line"):
            asked({**said, **wrong}, session, deck)
