"""Keys for when the night does not go by the plan, on a real engine."""

from desk_keys import address, after_gap, answer, chord, events, fired, go, press
from PySide6.QtCore import Qt

from showcaller.calling.looping import Loop
from showcaller.desk.areas.call.side import how_words
from showcaller.run import commands as c
from showcaller.run.events import Overridden


def begun(qtbot, live):
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    after_gap(qtbot)


def test_going_to_a_place_can_send_where_devices_should_stand(qtbot, live, receiver):
    begun(qtbot, live)
    assert address(receiver) == "/a"
    press(live, "j")
    answer(qtbot, live, "lights 4")
    answer(qtbot, live, "send")
    qtbot.waitUntil(lambda: bool(events(live, "resent")))
    assert events(live, "resent")[0].cues == ("c",)
    assert address(receiver) == "/c"
    assert fired(live) == ["a"]


def test_a_wrong_go_is_marked_with_one_key(qtbot, live):
    begun(qtbot, live)
    press(live, "w")
    qtbot.waitUntil(lambda: bool(events(live, "wrong")))
    assert events(live, "wrong")[0].cues == ("a",)
    assert live.calls.asked().heading == "marked as wrong"


def test_a_go_that_is_taken_back_already_is_not_marked_as_wrong_nor_the_one_before_it(qtbot, live):
    begun(qtbot, live)
    go(qtbot, live)
    qtbot.waitUntil(lambda: "b" in fired(live))
    after_gap(qtbot)
    press(live, "b")
    after_gap(qtbot)
    press(live, "b")
    qtbot.waitUntil(lambda: bool(events(live, "taken_back")))
    press(live, "w")
    asked = live.calls.asked()
    assert (asked.heading, asked.words) == (
        "nothing to mark as wrong",
        "Lights 2 is taken back already; the log has it so",
    )
    qtbot.wait(150)
    assert events(live, "wrong") == []
    after_gap(qtbot)
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live).count("b") == 2)
    press(live, "w")
    qtbot.waitUntil(lambda: len(events(live, "wrong")) == 1)
    assert "b" in events(live, "wrong")[0].cues


def test_who_withdraws_a_clearance_at_the_desk_is_named_and_not_who_gave_it(qtbot, live):
    for _ in range(2):
        press(live, "1")
        after_gap(qtbot)
    qtbot.waitUntil(lambda: "path" in live.host.book.state.clearances)
    press(live, "1")
    qtbot.waitUntil(lambda: not live.host.book.state.clearances["path"].ok)
    assert live.calls.asked().words == "Path clear: NOT CLEAR, withdrawn here; tell Moves"
    live.call._viewed_ns = 0
    live.frame()
    (row,) = live.call.side.content.clearances
    assert (row.words, row.who) == ("withdrawn by Ines", "Ines, 0:00 ago")
    assert how_words(row)[0] == "NOT CLEAR · withdrawn by Ines, 0:00 ago"


def test_what_fires_by_itself_can_be_taken_over_and_then_comes_no_more(qtbot, live, receiver):
    begun(qtbot, live)
    press(live, "t")
    qtbot.wait(250)
    assert fired(live) == ["a"]
    press(live, "t")
    qtbot.waitUntil(lambda: fired(live) == ["a", "c"])
    go(qtbot, live)
    qtbot.waitUntil(lambda: "b" in fired(live))
    qtbot.wait(400)
    assert fired(live) == ["a", "c", "b"]


def test_an_unplanned_item_is_slipped_in_between_two_items(qtbot, live):
    begun(qtbot, live)
    press(live, "i")
    answer(qtbot, live, "talk")
    qtbot.waitUntil(lambda: live.host.book.refused is not None)
    assert "'First' has goes left" in live.host.book.refused
    press(live, "j")
    answer(qtbot, live, "second")
    answer(qtbot, live, "")
    qtbot.waitUntil(lambda: live.host.book.state.place.item == 1)
    after_gap(qtbot)
    press(live, "i")
    answer(qtbot, live, "talk")
    qtbot.waitUntil(lambda: bool(events(live, "unplanned_started")))
    after_gap(qtbot)
    go(qtbot, live)
    qtbot.waitUntil(lambda: bool(events(live, "unplanned_ended")))
    assert fired(live) == ["a", "y"]


def test_a_clearance_is_overridden_only_with_a_name_and_a_reason(qtbot, live):
    chord(live, Qt.Key.Key_V, Qt.KeyboardModifier.ShiftModifier)
    answer(qtbot, live, "7")
    assert "type the number of a missing clearance: 1" in live.prompt._hint.text()
    live.prompt._edit.clear()
    answer(qtbot, live, "1")
    answer(qtbot, live, "I. Marr")
    answer(qtbot, live, "")
    assert "type the reason" in live.prompt._hint.text()
    answer(qtbot, live, "seen from the gantry")
    qtbot.waitUntil(lambda: bool(events(live, "overridden")))
    assert events(live, "overridden")[0] == Overridden(
        clearance="path", reason="seen from the gantry", by="I. Marr"
    )


def test_a_note_may_be_for_one_department(qtbot, live):
    press(live, "n")
    answer(qtbot, live, "video: watch the drummer")
    qtbot.waitUntil(lambda: len(live.host.book.notes) == 1)
    assert (live.host.book.notes[0].to, live.host.book.notes[0].text) == ("video", "watch the drummer")


def test_the_desk_is_handed_over_with_a_page(qtbot, live):
    begun(qtbot, live)
    press(live, "o")
    page = live.prompt._hint.text()
    for wanted in ("Where we are", "First, ", "What you call next", "Lights 2", "Not clear"):
        assert wanted in page
    answer(qtbot, live, "Bo")
    qtbot.waitUntil(lambda: live.host.book.state.caller == "Bo")
    assert events(live, "handed_over")[0].from_caller == "Ines"


def test_a_walk_is_logged_step_by_step(qtbot, live):
    press(live, "l")
    assert live.calls.asked().words == "No walk-on to come"


def test_departments_can_be_answered_for_one_by_one(qtbot, live):
    press(live, "s")
    qtbot.waitUntil(lambda: bool(events(live, "said")))
    live.calls.act("answers", live.host.session, live.call.view, False)
    answer(qtbot, live, "sparks")
    assert "'sparks' is not a department; type any of LX, VID, MV" in live.prompt._hint.text()
    live.prompt._edit.clear()
    answer(qtbot, live, "lx")
    qtbot.waitUntil(lambda: bool(events(live, "answered")))
    assert events(live, "answered")[0].departments == ("lights",)


def test_a_locked_desk_fires_nothing_until_the_callers_name_is_typed(qtbot, live):
    live.performer.do("lock")
    qtbot.keyClicks(live.prompt._edit, "g")
    live.prompt.leave()
    after_gap(qtbot)
    go(qtbot, live)
    qtbot.wait(150)
    assert fired(live) == []
    live.prompt._edit.clear()
    answer(qtbot, live, "ines")
    after_gap(qtbot)
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])


def test_a_loop_is_for_rehearsals_only(qtbot, live):
    begun(qtbot, live)
    chord(live, Qt.Key.Key_Y, Qt.KeyboardModifier.ShiftModifier)
    assert live.calls.asked().words == "Only in a rehearsal, with all outputs muted"


def test_what_was_noted_on_an_item_is_shown_the_next_night(qtbot, live):
    begun(qtbot, live)
    press(live, "n")
    answer(qtbot, live, "drummer counts in fast")
    qtbot.waitUntil(lambda: len(live.host.book.notes) == 1)
    live.host.end()
    qtbot.waitUntil(lambda: live.host.session is None, timeout=8000)
    press(live, "r")
    answer(qtbot, live, "Bo")
    answer(qtbot, live, "live")
    qtbot.waitUntil(lambda: live.host.book.state.phase == "running")
    assert live.host.outlook.earlier_notes() == ("drummer counts in fast",)
    live.frame()
    assert live.call.side.content.earlier == ("drummer counts in fast",)


def test_nothing_of_a_rehearsal_acts_once_messages_leave(qtbot, desk):
    press(desk, "r")
    for words in ("Ines", "mute", "1 crew 3"):
        answer(qtbot, desk, words)
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "running")
    desk.host.session.send(c.Mute(muted=False))
    qtbot.waitUntil(lambda: not desk.host.book.state.all_muted)
    press(desk, "s")
    qtbot.waitUntil(lambda: bool(events(desk, "said")))
    qtbot.wait(2800)  # longer than a simulated department takes to answer
    assert events(desk, "answered") == []
    desk.calls.loops.looping = Loop("first", "x", None, 0)
    desk.frame()
    assert desk.calls.loops.looping is None


def test_the_last_note_in_the_middle_of_a_show_takes_a_second_press_that_says_what_is_to_come(qtbot, live):
    shift = Qt.KeyboardModifier.ShiftModifier
    chord(live, Qt.Key.Key_L, shift)
    asked = live.calls.asked()
    assert (asked.heading, asked.words) == ("no last note yet", "the show begins with its first go")
    begun(qtbot, live)
    chord(live, Qt.Key.Key_L, shift)
    asked = live.calls.asked()
    assert asked.heading == "Shift+L again: the last note has sounded"
    assert asked.words == "1 item is still to come: Second"
    qtbot.wait(150)
    assert live.host.book.state.moments == {}
    after_gap(qtbot)
    chord(live, Qt.Key.Key_L, shift)
    qtbot.waitUntil(lambda: "last note" in live.host.book.state.moments)
    chord(live, Qt.Key.Key_H, shift)
    qtbot.waitUntil(lambda: "house lights" in live.host.book.state.moments)


def test_an_incident_in_plain_words_is_asked_for_its_kind_and_loses_nothing(qtbot, live):
    chord(live, Qt.Key.Key_N, Qt.KeyboardModifier.ShiftModifier)
    answer(qtbot, live, "near the riser somebody fell")
    assert "an injury, a near miss, or damage?" in live.prompt._label.text()
    qtbot.waitUntil(lambda: [e.fields for e in events(live, "incident")] != [])
    assert events(live, "incident")[-1].fields == {"draft": "near the riser somebody fell"}
    answer(qtbot, live, "x")
    assert live.prompt._hint.text().startswith("type injury, near miss or damage")
    live.prompt._edit.clear()
    answer(qtbot, live, "i")
    qtbot.waitUntil(lambda: "kind" in events(live, "incident")[-1].fields)
    kept = events(live, "incident")[-1].fields
    assert (kept["kind"], kept["what"]) == ("injury", "near the riser somebody fell")


def test_an_incident_is_put_down_by_key_with_what_it_was(qtbot, live):
    chord(live, Qt.Key.Key_N, Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(lambda: bool(events(live, "incident_opened")))
    assert "call the venue's first aid" in live.prompt._hint.text()
    qtbot.keyClicks(live.prompt._edit, "near miss: a tru")
    live.frame()
    qtbot.waitUntil(lambda: bool(events(live, "incident")))
    assert set(events(live, "incident")[0].fields) == {"draft"}
    live.prompt.leave()
    after_gap(qtbot)
    assert "incident" in live.calls.banner(live.host.session)
    chord(live, Qt.Key.Key_M, Qt.KeyboardModifier.ShiftModifier)
    assert live.prompt._edit.text() == "near miss: a tru", "what was typed stands there again"
    answer(qtbot, live, "ss leg rolled")
    qtbot.waitUntil(lambda: "kind" in events(live, "incident")[-1].fields)
    kept = events(live, "incident")[-1].fields
    assert (kept["kind"], kept["what"], kept["draft"]) == ("near miss", "a truss leg rolled", "")
    assert live.calls.banner(live.host.session) == ""
    after_gap(qtbot)
    chord(live, Qt.Key.Key_M, Qt.KeyboardModifier.ShiftModifier)
    for words in ("", "dock 2", "Bo Lind", "", "the leg is chocked"):
        answer(qtbot, live, words)
    qtbot.waitUntil(lambda: "follow_up" in events(live, "incident")[-1].fields)
    (one,) = live.host.book.state.incidents.values()
    assert {k: v for k, v in one.fields.items() if k not in ("kind", "what")} == {
        "place": "dock 2", "witness": "Bo Lind", "follow_up": "the leg is chocked"
    }  # fmt: skip


def test_a_standby_is_taken_back_by_two_presses_and_repeated_while_nobody_answers(qtbot, live):
    begun(qtbot, live)
    live.frame()
    press(live, "s")
    qtbot.waitUntil(lambda: len(events(live, "said")) == 1)
    line = events(live, "said")[0].line
    live.frame()
    after_gap(qtbot)
    press(live, "s")
    assert live.calls.asked().heading.startswith("again · not acknowledged: ")
    qtbot.wait(150)
    assert len(events(live, "said")) == 1, "repeated aloud, called once"
    press(live, "b")
    assert live.calls.asked().heading == "press again to take back"
    after_gap(qtbot)
    press(live, "b")
    qtbot.waitUntil(lambda: bool(events(live, "unsaid")))
    assert line not in live.host.book.state.said
    assert fired(live) == ["a"]
    assert events(live, "taken_back") == []


def test_after_a_jump_on_the_standby_there_is_called_by_one_press(qtbot, live):
    begun(qtbot, live)
    live.host.session.send(c.Jump("second", None, cue_up=False))
    qtbot.waitUntil(lambda: live.host.book.state.place.item == 1)
    live.frame()
    say = live.call.view.next_say
    assert say is not None
    assert say.in_s > 15, "the item that plays has a while to go"
    press(live, "s")
    qtbot.waitUntil(lambda: len(events(live, "said")) == 1)
    assert events(live, "said")[0].line == say.id
