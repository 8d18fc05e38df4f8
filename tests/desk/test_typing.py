"""While something is typed into, no key is the show's, wherever the focus went; and the desk says so."""

import time

import pytest
from desk_keys import after_gap, answer, chord, fired, go, press
from PySide6.QtCore import QEvent
from PySide6.QtGui import QKeyEvent

from showcaller.calling.rungs import Rung
from showcaller.desk.clearkeys import _reading
from showcaller.desk.qt import Qt
from showcaller.values import replace


def test_tab_leaves_no_field_and_keys_stay_letters(qtbot, live):
    press(live, "n")
    live.frame()
    assert live.call.centre.typing.startswith("typing: keys call nothing")
    for code in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
        chord(live, code)
        press(live, "gsu")
    assert live.prompt._edit.text() == "gsugsu"
    after_gap(qtbot)
    assert not fired(live)
    chord(live, Qt.Key.Key_Escape)
    assert not live.prompt.is_open()
    live.frame()
    assert live.call.centre.typing == ""


def test_a_key_beside_the_field_goes_into_it_and_escape_leaves_it(qtbot, live):
    press(live, "n")
    live.setFocus()  # as by the mouse
    press(live, "g")
    assert live.prompt._edit.text() == "g"
    live.setFocus()
    chord(live, Qt.Key.Key_Escape)
    assert not live.prompt.is_open()
    assert not fired(live)


def test_the_list_of_keys_keeps_the_keys_until_it_is_left(qtbot, live):
    chord(live, Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    assert live.palette_.isVisible()
    live.frame()  # the box has grown by what is said of typing
    free = live.acts.helping.free()
    assert free is not None
    lies = live.palette_.geometry()
    assert free.top() <= lies.top() < lies.bottom() <= free.bottom()
    chord(live, Qt.Key.Key_Tab)
    live.setFocus()
    press(live, "g")
    assert live.palette_.edit.text() == "g"
    assert not fired(live)
    live.setFocus()
    chord(live, Qt.Key.Key_Escape)
    assert not live.palette_.isVisible()


def test_a_locked_desk_looks_locked_and_a_wrong_name_leaves_nothing_to_rub_out(qtbot, live):
    chord(live, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    answer(qtbot, live, "gg")
    assert live.prompt.is_open()
    assert live.prompt._edit.text() == ""
    assert live.prompt._hint.text().startswith("'gg' is not it.")
    chord(live, Qt.Key.Key_Escape)
    live.frame()
    assert live.call.centre.typing == "locked: keys call nothing · type Ines to unlock"
    after_gap(qtbot)  # sooner it would be the keyboard's own repeat
    press(live, "g")
    assert live.prompt.is_open()
    answer(qtbot, live, "ines")
    live.frame()
    assert live.call.centre.typing == ""
    assert not fired(live)


def test_a_standby_called_takes_the_question_about_it_away(qtbot, live):
    live.frame()
    session, view = live.host.session, live.call.view
    say = Rung("x", "standby", "Standby Lights 9", 1.0, 1, True, (), ("a",))
    live.calls._goes._words.say("G again to go without its standby", "Lights 9", 3.0)
    live.calls._guard.twice("go", "x", False, time.monotonic())
    live.calls.act("standby", session, replace(view, next_say=say, now=say), False)
    assert live.calls.asked() is None
    assert live.calls._guard.armed is None


def test_on_hold_a_standby_that_is_far_off_is_asked_for(qtbot, live):
    go(qtbot, live)
    qtbot.waitUntil(lambda: bool(fired(live)))
    press(live, "p")
    qtbot.waitUntil(lambda: live.host.book.state.phase == "held")
    live.frame()
    view, before = live.call.view, len(live.host.book.said)
    far = replace(
        view.next_say or Rung("x", "standby", "Standby Lights 9", 0, 1, True, (), ("a",)), in_s=108.0
    )
    live.calls.act("standby", live.host.session, replace(view, next_say=far), False)
    assert "again to call it 1:48 early" in live.calls.asked().heading
    assert len(live.host.book.said) == before


@pytest.mark.parametrize("typed", ["", "nan", "inf", "-inf", "fresh", "9 m/s"])
def test_a_reading_that_is_no_number_is_not_given(live, typed):
    before = len(live.host.book.records)
    said = _reading(live.host.session, "gust")(typed)
    assert said is not None
    assert said.endswith("type the reading, such as 8.5")
    assert len(live.host.book.records) == before


def test_a_first_press_does_not_wait_through_a_field(qtbot, live):
    live.calls._guard.twice("go", "x", False, time.monotonic())
    press(live, "n")
    assert live.calls._guard.armed is None


def test_a_key_pressed_in_another_window_of_the_desk_goes_into_the_field_as_well(qtbot, live):
    press(live, "n")
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        live.hear(QKeyEvent(kind, Qt.Key.Key_G, Qt.KeyboardModifier.NoModifier, "g"))
    assert live.prompt._edit.text() == "g"
    assert not fired(live)
