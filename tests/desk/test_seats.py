"""Whose desk it is: which area opens, and that letters act on the run in Call at the caller's seat only."""

import pytest
from desk_keys import after_gap, answer, chord, events, fired, go, press
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt

from showcaller.desk.actions import ACTIONS
from showcaller.desk.keys import Keys, foot_keys
from showcaller.desk.layout import keep_seat, kept_seat
from showcaller.desk.menus import named_in
from showcaller.desk.seats import SEATS, is_typed, refusal
from showcaller.run import commands as c

LETTERS = "gsahnkbxjft=luwdpiezvoym123456789r"


def sit(desk, name):
    desk.acts.sit(name)
    desk.prompt.leave()


@pytest.mark.parametrize(("seat", "area"), [("caller", "Call"), ("director", "Wall"), ("stage", "Book")])
def test_a_seat_opens_its_area_and_is_ticked_in_the_menu(desk, seat, area):
    desk.menus.actions[f"seat.{seat}"].trigger()
    assert desk.area_name() == area
    assert [n for n in SEATS if desk.menus.actions[f"seat.{n}"].isChecked()] == [seat]


def test_a_seat_is_remembered(tmp_path):
    assert kept_seat(tmp_path) == "caller"
    keep_seat(tmp_path / "new", "stage")
    assert kept_seat(tmp_path / "new") == "stage"
    (tmp_path / "seat").write_text("nobody")
    assert kept_seat(tmp_path) == "caller"


@pytest.mark.parametrize("seat", ["director", "stage"])
def test_no_text_at_another_seat_names_a_key_that_does_nothing_there(desk, seat):
    desk.acts.sit(seat)
    keys = desk.keys
    for action in ACTIONS.values():
        if action.of_run:
            said = keys[action.id]
            assert not said or said.startswith("menu ") or not is_typed(said), action.id
    named = foot_keys(keys)
    assert ("F8", "note") in named
    assert all(not is_typed(key) for key, _ in named)
    desk.menus._freshen(desk.menus._menus["Night"])
    assert desk.menus.actions["fault"].shortcut().toString() == "F7"
    desk.acts.sit("caller")
    assert keys["note"] == "N"
    assert [word for _, word in foot_keys(keys)][:2] == ["go", "standby"]


def test_the_stage_manager_gives_a_clearance_by_its_name_from_any_area(qtbot, live):
    first = live.host.show.clearances[0]
    assert named_in(live.host.show, "clear1") == f"clear: {first.name} (twice)"
    assert named_in(live.host.show, "clear9") == "clearance 9"
    live.acts.sit("stage")
    live.show_area("Book")
    given = lambda: live.host.book.state.clearances.get(first.id)  # noqa: E731
    for _ in range(2):
        chord(live, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
        after_gap(qtbot)
    qtbot.waitUntil(lambda: given() is not None and given().ok)


@pytest.mark.parametrize("seat", ["director", "stage"])
@pytest.mark.parametrize("area", ["Book", "Wall", "Call", "Drift"])
def test_away_from_the_callers_seat_no_letter_reaches_the_run(qtbot, live, seat, area):
    live.acts.sit(seat)
    live.show_area(area)
    before = len(live.host.book.records)
    for key in LETTERS.replace("=", ""):
        press(live, key)
    chord(live, Qt.Key.Key_Equal)
    assert not live.prompt.is_open()
    qtbot.wait(250)
    # A report is nobody's key: that this desk joined may be heard of only now.
    of_nobody = ("timer", "tick", "report")
    assert not [r for r in live.host.book.records[before:] if r.input.kind not in of_nobody]
    assert fired(live) == []


@pytest.mark.parametrize("area", ["Book", "Wall", "Drift"])
def test_typing_into_another_area_at_the_callers_seat_never_holds_inserts_or_moves_the_clock(
    qtbot, live, area
):
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    live.show_area(area)
    for key in "hithxbjm":
        press(live, key)
    qtbot.wait(250)
    assert live.host.book.state.phase == "running"
    assert not live.prompt.is_open()
    for kind in ("held", "inserted", "resynced", "skipped", "taken_back", "muted"):
        assert events(live, kind) == [], kind


def test_what_a_seat_may_do_it_does_by_function_key_and_menu(qtbot, live):
    live.acts.sit("stage")
    chord(live, Qt.Key.Key_F8)
    assert live.prompt.is_open()
    qtbot.keyClicks(live.prompt._edit, "short of a stagehand")
    qtbot.keyClick(live.prompt._edit, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(live.host.book.notes) == 1)
    live.menus.actions["clear1"].trigger()
    after_gap(qtbot)
    live.menus.actions["clear1"].trigger()
    qtbot.waitUntil(lambda: "path" in live.host.book.state.clearances)
    live.host.session.send(c.Go("first:start"))
    qtbot.waitUntil(lambda: live.host.book.state.begun_ns is not None)
    live.menus.actions["last_note"].trigger()
    after_gap(qtbot)
    live.menus.actions["last_note"].trigger()
    qtbot.waitUntil(lambda: "last note" in live.host.book.state.moments)
    live.menus.actions["hold"].trigger()
    qtbot.wait(150)
    assert live.host.book.state.phase == "running"
    assert live.performer.why_not("hold") == "for the caller's seat, not the stage manager's"


def test_who_opened_a_rehearsal_at_another_seat_can_end_it_and_nobody_else_can_from_there(qtbot, desk):
    desk.acts.sit("director")
    press(desk, "r")
    assert desk.wall.said.words.startswith("not here: letters never act on the show")
    desk.performer.do("open")
    for words in ("Cy", "mute", ""):
        answer(qtbot, desk, words)
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "running")
    assert desk.performer.why_not("end") is None
    chord(desk, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    answer(qtbot, desk, "END")
    qtbot.waitUntil(lambda: desk.host.session is None or desk.host.book.state.phase == "ended")


def test_what_is_typed_after_a_refused_key_is_no_key_of_the_area(desk):
    desk.acts.sit("director")
    before = desk.performer.did.copy()
    chord(desk, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    press(desk, "end")
    assert desk.performer.did - before <= {"end"}


@given(st.sampled_from(sorted(ACTIONS)), st.sampled_from(["Book", "Wall", "Call", "Drift"]))
def test_a_typed_key_of_the_run_acts_in_call_at_the_callers_seat_and_nowhere_else(name, area):
    action = ACTIONS[name]
    for seat in SEATS.values():
        for key in Keys().chords(name) if action.of_run else ():
            acts = refusal(seat, action, key, area, "Ctrl+3") is None
            if is_typed(key):
                assert acts == (seat.id == "caller" and area == "Call")
            else:
                assert acts == (name in seat.acts)


@pytest.mark.parametrize("area", ["Book", "Wall", "Drift"])
def test_not_here_stands_at_the_areas_own_foot_and_the_line_to_call_stays(qtbot, live, area):
    live.show_area(area)
    live.frame()
    before = live.now_bar.accessibleDescription()
    assert before
    press(live, "g")
    live.frame()
    said = getattr(live, area.lower()).said.words
    assert said.startswith("not here: G (go) acts in Call")
    assert live.calls.asked() is None
    assert live.now_bar.accessibleDescription() == before
    assert fired(live) == []
