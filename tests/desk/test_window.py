"""The desk by its keys: what fires, what must not, and what cannot happen by accident."""

import pytest
from desk_keys import address, after_gap, answer, chord, events, fired, go, press
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from showcaller.desk.status_words import badge
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.model import show_text
from showcaller.run import commands as c
from showcaller.run import events as ev


def test_opening_a_run_takes_a_name_and_a_word(qtbot, desk):
    go(qtbot, desk)
    assert desk.host.session is None
    press(desk, "r")
    answer(qtbot, desk, "")
    assert desk.prompt.is_open()
    assert "type the caller's name" in desk.prompt._hint.text()
    answer(qtbot, desk, "Ines")
    answer(qtbot, desk, "yes")
    assert "type LIVE or MUTE" in desk.prompt._hint.text()
    qtbot.keyClick(desk.prompt._edit, Qt.Key.Key_Escape)
    assert desk.host.session is None
    assert not desk.prompt.is_open()


def test_one_press_of_go_is_one_go_and_its_message_leaves(qtbot, live, receiver):
    go(qtbot, live)
    assert address(receiver) == "/a"
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    press(live, "g")  # a hand that trembles
    for _ in range(30):  # a key held down
        event = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_G, Qt.KeyboardModifier.NoModifier, "g", True)
        QApplication.sendEvent(live, event)
    after_gap(qtbot)
    assert fired(live) == ["a"]
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a", "b", "c"])
    assert [address(receiver), address(receiver)] == ["/b", "/c"]


def test_a_key_held_down_is_one_go_even_where_repeats_look_like_presses(qtbot, live):
    # An X server sends a release and a press for every repeat, at once; Qt does not always see it.
    def key(kind, at_ms):
        event = QKeyEvent(kind, Qt.Key.Key_G, Qt.KeyboardModifier.NoModifier, "g")
        event.setTimestamp(at_ms)
        QApplication.sendEvent(live, event)

    down, up = QEvent.Type.KeyPress, QEvent.Type.KeyRelease
    live.frame()
    key(down, 10_000)
    at_ms = 10_660  # the usual delay before a keyboard repeats
    for _ in range(40):
        qtbot.wait(10)
        key(up, at_ms)
        key(down, at_ms)
        at_ms += 30
    key(up, at_ms)
    qtbot.wait(200)
    assert fired(live) == ["a"]


def test_a_go_long_before_its_instant_is_asked_for_twice(qtbot, live):
    for expected in ("a", "b"):
        go(qtbot, live)
        qtbot.waitUntil(lambda wanted=expected: wanted in fired(live))
        after_gap(qtbot)
    live.host.session.send(c.Skip(go=live.call.view.next_go.go))
    qtbot.waitUntil(lambda: live.host.book.state.place.go == 3)
    live.frame()
    after_gap(qtbot)
    press(live, "g")
    assert "early" in live.calls.asked().heading
    after_gap(qtbot)
    assert "z" not in fired(live)
    press(live, "g")
    qtbot.waitUntil(lambda: "z" in fired(live))


@pytest.fixture
def guarded(qtbot, desk):
    """The desk with a run open in which a go without its standby is asked for again."""
    asked = desk.host.show.speaking.changed(ask_unsaid=True)
    desk.host.take_show(desk.host.show.changed(speaking=asked))
    press(desk, "r")
    answer(qtbot, desk, "Ines")
    answer(qtbot, desk, "live")
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "running")
    desk.frame()
    return desk


def test_a_go_whose_standby_was_not_called_is_asked_for_once_more(qtbot, guarded):
    desk = guarded
    press(desk, "g")
    assert "G again to go without its standby" in desk.calls.asked().heading
    after_gap(qtbot)
    assert fired(desk) == []
    press(desk, "g")
    qtbot.waitUntil(lambda: fired(desk) == ["a"])


def test_two_presses_of_standby_say_one_line(qtbot, live):
    press(live, "s")
    press(live, "s")
    qtbot.wait(300)
    said = [e for r in live.host.book.records for e in r.events if isinstance(e, ev.LineSaid)]
    assert len(said) == 1


def test_letters_typed_into_a_note_fire_nothing(qtbot, live):
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    after_gap(qtbot)
    press(live, "n")
    qtbot.keyClicks(live.prompt._edit, "ghost in the gongs, go")
    qtbot.keyClick(live.prompt._edit, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(live.host.book.notes) == 1)
    assert live.host.book.notes[0].text == "ghost in the gongs, go"
    assert fired(live) == ["a"]


def given_by_two(qtbot, desk):
    press(desk, "1")
    after_gap(qtbot)
    press(desk, "1")


def test_a_stray_digit_withdraws_a_clearance_and_never_gives_one(qtbot, live):
    press(live, "1")
    assert live.calls.asked().heading == "1 again gives it, if Moves says so"
    press(live, "1")  # a bounce of the key
    assert "path" not in live.host.book.state.clearances
    after_gap(qtbot)
    press(live, "1")
    qtbot.waitUntil(lambda: "path" in live.host.book.state.clearances)
    assert live.host.book.state.clearances["path"].ok
    after_gap(qtbot)
    live.frame()
    assert live.call.side.content.clearances[0].who == "Moves, 0:00 ago"
    press(live, "1")
    qtbot.waitUntil(lambda: not live.host.book.state.clearances["path"].ok)
    assert "NOT CLEAR" in live.calls.asked().words


def test_a_digit_gives_nothing_that_is_not_asked_for(qtbot, live):
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    live.host.session.send(c.Jump(item="second", cue_up=False))
    qtbot.waitUntil(lambda: bool(events(live, "jumped")))
    live.host.session.send(c.Go("second:start"))
    qtbot.waitUntil(lambda: "y" in fired(live))
    given_by_two(qtbot, live)
    qtbot.wait(150)
    assert live.calls.asked().heading == "not needed now"
    assert "path" not in live.host.book.state.clearances


def test_a_hazardous_cue_takes_its_clearance_and_the_second_key(qtbot, live, receiver):
    for expected in ("a", "b"):
        go(qtbot, live)
        qtbot.waitUntil(lambda wanted=expected: wanted in fired(live))
        after_gap(qtbot)
    live.frame()
    assert live.call.view.next_go.waits == ("Path clear",)
    words = live.call.centre.words()
    assert "hazard: G, then U" in words.heading + words.foot, "marked from the moment it is next"
    go(qtbot, live)
    qtbot.waitUntil(lambda: live.host.book.refused is not None)
    assert live.host.book.refused == "Moves 1 needs 'Path clear': waiting for Moves"
    press(live, "u")
    given_by_two(qtbot, live)
    qtbot.waitUntil(lambda: "path" in live.host.book.state.clearances)
    after_gap(qtbot)
    live.frame()
    go(qtbot, live)
    assert live.calls.asked().heading.startswith("hazard")
    assert "Keep clear of the gantry" in live.calls.asked().words
    assert "m" not in fired(live)
    live.frame()
    live.frame()
    armed = live.call.centre.words()
    assert armed.line == live.call.view.next_go.text, "the line stays while it is armed"
    assert armed.count, "so does the time to it"
    assert armed.heading.startswith("armed: U fires · ")
    assert "Keep clear of the gantry" in armed.foot
    press(live, "u")
    qtbot.waitUntil(lambda: "m" in fired(live))


def test_the_second_key_alone_and_a_lost_window_fire_nothing(qtbot, live):
    for expected in ("a", "b"):
        go(qtbot, live)
        qtbot.waitUntil(lambda wanted=expected: wanted in fired(live))
        after_gap(qtbot)
    given_by_two(qtbot, live)
    press(live, "u")
    assert live.calls.asked().heading == "nothing is armed"
    go(qtbot, live)
    live.calls.forget()  # what the window does when another takes the keyboard
    press(live, "u")
    qtbot.wait(200)
    assert "m" not in fired(live)


def test_the_second_key_where_nothing_is_armed_ends_a_question(qtbot, guarded):
    desk = guarded
    for _ in range(2):
        press(desk, "g")
        assert "G again to go without its standby" in desk.calls.asked().heading, "anew each time"
        press(desk, "u")
        assert desk.calls.asked().heading == "nothing is armed"
        after_gap(qtbot)
    assert fired(desk) == []


def test_a_show_in_progress_stays_in_the_box_whatever_key_is_pressed(qtbot, desk):
    run = new_run_folder(desk.host.runs, show_text(desk.store.show_now))
    process = start_engine(run)

    def heading():
        desk.frame()
        return desk.call.centre.words().heading

    qtbot.waitUntil(lambda: heading() == "show in progress")
    for key in "gnsbu":
        press(desk, key)
        assert heading() == "show in progress"
    process.kill()
    process.wait()


def test_hold_stands_still_and_goes_on(qtbot, live):
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    press(live, "p")
    qtbot.waitUntil(lambda: live.host.book.state.phase == "held")
    live.calls.act("why", live.host.session, live.call.view, False)
    answer(qtbot, live, "microphone")
    after_gap(qtbot)
    go(qtbot, live)
    qtbot.waitUntil(lambda: live.host.book.refused == "the show is on hold: resume first")
    press(live, "p")
    qtbot.waitUntil(lambda: live.host.book.state.phase == "running")
    resumed = [e for r in live.host.book.records for e in r.events if isinstance(e, ev.Resumed)]
    assert [e.reason for e in resumed] == ["microphone"]


def test_taking_back_and_leaving_out_ask_twice(qtbot, live):
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    press(live, "x")
    qtbot.wait(300)
    assert live.host.book.state.place.go == 1
    press(live, "x")
    qtbot.waitUntil(lambda: live.host.book.state.place.go == 2)
    press(live, "b")
    qtbot.wait(300)
    press(live, "b")
    qtbot.waitUntil(lambda: live.host.book.state.place.go == 0)


def test_jumping_finds_a_cue_by_its_number(qtbot, live):
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    press(live, "j")
    qtbot.keyClicks(live.prompt._edit, "lights 4")
    assert "Lights 4" in live.prompt._hint.text()
    qtbot.keyClick(live.prompt._edit, Qt.Key.Key_Return)
    assert "Skipped: Lights 2, Lights 3, Moves 1." in live.prompt._hint.text()
    assert "Current state there: Lights 3." in live.prompt._hint.text()
    assert live.host.book.state.place.go == 1
    qtbot.keyClick(live.prompt._edit, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: live.host.book.state.place.go == 3)


def test_ending_takes_a_word_and_puts_the_run_into_the_tour(qtbot, live):
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    live.opening.end_run()
    answer(qtbot, live, "e")
    assert live.host.book.state.phase == "running"
    live.prompt._edit.clear()
    answer(qtbot, live, "end")
    qtbot.waitUntil(lambda: live.host.session is None, timeout=8000)
    runs = live.host.tour.runs()
    assert [(r.caller, r.finished) for r in runs] == [("Ines", True)]
    live.show_area("Drift")
    live.drift.settle()
    assert live.drift.state.view is not None
    assert live.drift.state.view.title == "Show 1, Small"


def test_the_window_does_not_close_under_a_run_without_a_word(qtbot, live):
    live.close()
    assert live.isVisible()
    assert live.prompt.is_open()
    answer(qtbot, live, "leave")
    assert not live.isVisible()


def test_the_mouse_wheel_and_a_click_on_the_line_do_nothing(qtbot, live):
    qtbot.mouseClick(live.call.centre, Qt.MouseButton.LeftButton)
    qtbot.mouseDClick(live.call.centre, Qt.MouseButton.LeftButton)
    qtbot.wait(100)
    assert fired(live) == []


def test_an_engine_that_dies_is_started_again_at_the_same_place(qtbot, live, receiver):
    go(qtbot, live)
    assert address(receiver) == "/a"
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    live.host.session._process.kill()
    qtbot.waitUntil(lambda: live.host.trouble is not None, timeout=5000)
    assert "started again at the same place" in live.host.trouble
    words = ("was restarted at the same place", "may not have been sent")
    qtbot.waitUntil(lambda: any(w in (live.host.trouble or "") for w in words), timeout=10000)
    go(qtbot, live)
    assert address(receiver) == "/b"
    assert fired(live).count("a") == 1


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080), (2560, 1440)])
def test_every_area_draws_at_every_size(qtbot, live, size):
    live.resize(*size)
    for area in ("Book", "Wall", "Call", "Drift"):
        live.show_area(area)
        image = live.grab().toImage()
        colours = {image.pixelColor(x, y).name() for x in range(0, size[0], 7) for y in range(0, size[1], 7)}
        assert len(colours) > 5, area


def test_keys_are_named_for_a_screen_reader(live):
    assert live.call.centre.accessibleName() == "The line to call now, and the lines to come"
    assert live.call.centre.accessibleDescription() == "Standby Lights 1 and 2, and Moves 1"


def test_in_another_area_the_line_is_in_sight_and_letters_act_only_once_call_is_brought(
    qtbot, live, receiver
):
    live.show_area("Wall")
    assert live.now_bar.isVisible()
    live.frame()
    assert live.now_bar.accessibleDescription() == "Standby Lights 1 and 2, and Moves 1"
    go(qtbot, live)
    qtbot.wait(150)
    assert fired(live) == []
    live.frame()
    assert live.now_bar.accessibleDescription() == "Standby Lights 1 and 2, and Moves 1", "it stays"
    assert live.wall.said.words == "not here: G (go) acts in Call: Ctrl+3 brings it"
    chord(live, Qt.Key.Key_3, Qt.KeyboardModifier.ControlModifier)
    go(qtbot, live)
    assert address(receiver) == "/a"
    assert not live.now_bar.isVisible()


def test_the_clocks_window_hands_the_keys_of_a_run_on(qtbot, live):
    live.clocks.toggle()
    clocks = live.clocks.window
    qtbot.waitExposed(clocks)
    live.frame()
    qtbot.keyClick(clocks, Qt.Key.Key_S)
    qtbot.waitUntil(lambda: bool(events(live, "said")))
    live.frame()
    for repeated in (False, True, True):
        event = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_G, Qt.KeyboardModifier.NoModifier, "g", repeated)
        QApplication.sendEvent(clocks, event)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    after_gap(qtbot)
    assert fired(live) == ["a"], "a key held down is one press here too"
    live.show_area("Wall")
    qtbot.keyClick(clocks, Qt.Key.Key_P)
    qtbot.wait(150)
    assert live.host.book.state.phase == "running", "what an area does not take, the clocks do not either"
    qtbot.keyClick(clocks, Qt.Key.Key_Escape)
    assert live.clocks.window is None


def test_a_rehearsal_is_marked_and_runs_at_the_speed_asked_for(qtbot, desk):
    press(desk, "r")
    answer(qtbot, desk, "Ines")
    answer(qtbot, desk, "mute")
    answer(qtbot, desk, "12 crew")
    assert "a speed from 0.25 to 8" in desk.prompt._hint.text()
    desk.prompt._edit.clear()
    answer(qtbot, desk, "8 crew 3")
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "running")
    assert badge(desk.host.book, desk.host.session)[0] == "REHEARSAL · OUTPUTS MUTED"
    assert "8× · simulated crew" in desk.host.run_words()
    press(desk, "s")
    qtbot.waitUntil(lambda: any(r.input.kind == "answer" for r in desk.host.book.records), timeout=4000)


def test_two_keys_held_down_are_one_press_of_each(qtbot, live):
    live.frame()
    press(live, "s")
    qtbot.waitUntil(lambda: bool(events(live, "said")))
    live.frame()
    after_gap(qtbot)
    for n in range(60):
        for key in (Qt.Key.Key_G, Qt.Key.Key_S):
            text = "g" if key == Qt.Key.Key_G else "s"
            event = QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier, text, n > 0)
            QApplication.sendEvent(live, event)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    qtbot.wait(500)
    assert fired(live) == ["a"]
    said = [e for r in live.host.book.records for e in r.events if isinstance(e, ev.LineSaid)]
    assert len(said) <= 2
