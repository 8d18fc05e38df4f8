"""The keys that put a song's clock right, and those that speak to timecode, on a desk with a real engine."""

import json

import pytest
from desk_keys import go
from devices import end_engines
from PySide6.QtCore import Qt
from small_shows import cue, document, item

from showcaller.archive.tour import Tour
from showcaller.calling.keys import PRESS_GAP_S
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.model import parse_show


@pytest.fixture
def live(qtbot, qapp, tmp_path):
    """``live(**show)``: a desk on a song at 120 in 4/4, its run open and the song begun."""
    made = []

    def start(**more):
        song = item("s", 60, [cue("a", "1", 0)], tempo=[{"bar": 1, "bpm": 120}], timecode_start="01:00:00:00")
        keys = Keys()
        show = parse_show(json.dumps(document([song], **more)))
        window = DeskWindow(show, Tour.create(tmp_path / "t.tour", "Small"), tmp_path / "runs", keys)
        made.append(window)
        window.show()
        qtbot.waitExposed(window)
        assert window.host.open("Ines", muted=True) is None
        qtbot.waitUntil(lambda: window.host.book.state.phase == "running")
        go(qtbot, window)
        qtbot.waitUntil(lambda: window.host.book.state.clock_ns is not None)
        return window

    yield start
    for window in made:
        window.stop()
        window.host.close()
    end_engines(tmp_path / "runs")


def events(window, kind):
    return [e for r in window.host.book.records for e in r.events if e.kind == kind]


def last(qtbot, window, kind, count=1):
    qtbot.waitUntil(lambda: len(events(window, kind)) == count)
    return events(window, kind)[-1]


def test_a_tap_on_the_downbeat_puts_the_clock_on_it(qtbot, live):
    window = live()
    qtbot.keyClick(window, Qt.Key.Key_D)
    event = last(qtbot, window, "resynced")
    # Bars of two seconds (4 × 60/120), so no downbeat is further than one second away.
    assert abs(event.shift_s) <= 1
    assert event.at_s + event.shift_s == pytest.approx(2 * (event.bar - 1), abs=1e-6)


def test_this_is_bar_takes_a_bar_or_a_bar_and_beat_and_nothing_else(qtbot, live):
    window = live()
    qtbot.keyClicks(window, "=")
    assert window.prompt.is_open()
    assert window.prompt._label.text() == "This is bar …"
    qtbot.keyClicks(window.prompt._edit, "x")
    qtbot.keyClick(window.prompt._edit, Qt.Key.Key_Return)
    assert window.prompt._hint.text() == "type a bar such as 33, or bar and beat such as 33 3"
    window.prompt._edit.clear()
    qtbot.keyClicks(window.prompt._edit, "12 3")
    qtbot.keyClick(window.prompt._edit, Qt.Key.Key_Return)
    event = last(qtbot, window, "resynced")
    assert (event.bar, event.beat) == (12, 3)
    assert event.at_s + event.shift_s == pytest.approx(2 * 11 + 2 * 0.5, abs=1e-6)
    assert not window.prompt.is_open()


def test_taking_over_from_timecode_and_giving_back_need_a_second_press(qtbot, live):
    window = live(timecode_in={"kind": "mtc", "port": "nobody"})
    qtbot.keyClick(window, Qt.Key.Key_H)
    assert window.calls.asked().words == "the clock by hand, without timecode"
    assert events(window, "timecode") == []
    qtbot.wait(int(PRESS_GAP_S * 1000))
    qtbot.keyClick(window, Qt.Key.Key_H)
    assert last(qtbot, window, "timecode").what == "off"
    qtbot.keyClick(window, Qt.Key.Key_F)
    qtbot.wait(int(PRESS_GAP_S * 1000))
    qtbot.keyClick(window, Qt.Key.Key_F)
    assert last(qtbot, window, "timecode", 2).what == "on"


def test_without_timecode_in_the_keys_say_that_there_is_none(qtbot, live):
    window = live()
    for key in (Qt.Key.Key_F, Qt.Key.Key_H):
        qtbot.keyClick(window, key)
        assert window.calls.asked().words == "No timecode comes in to this show"
    assert events(window, "timecode") == []
