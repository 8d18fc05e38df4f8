"""Once more, vamp and out, a section cut: by real keys in the window."""

from pathlib import Path

import pytest
from desk_keys import after_gap, chord
from desk_window import desk_on
from small_shows import cue, document, item

from showcaller.desk.qt import Qt
from showcaller.run import commands as c

SHIFT = Qt.KeyboardModifier.ShiftModifier
Key = Qt.Key


@pytest.fixture
def desk(qtbot, tmp_path: Path):
    sections = [{"name": "Verse", "bar": 1}, {"name": "Chorus", "bar": 9}, {"name": "Out", "bar": 17}]
    song = item("s", 48, [cue("a", "1", 0)], tempo=[{"bar": 1, "bpm": 120}], sections=sections)
    with desk_on(qtbot, tmp_path, document([song])) as window:
        assert window.host.open("Ines", muted=True) is None
        qtbot.waitUntil(lambda: window.host.book.state.phase == "running")
        window.host.session.send(c.Go("s:start"))
        qtbot.waitUntil(lambda: window.host.book.state.clock_ns is not None)
        window.show_area("Call")
        yield window


def turn(desk):
    return desk.host.book.state.turn


@pytest.mark.parametrize(("key", "what"), [(Key.Key_R, "again"), (Key.Key_O, "vamp"), (Key.Key_K, "cut")])
def test_each_key_says_it_and_takes_it_back(qtbot, desk, key, what):
    chord(desk, key, SHIFT)
    qtbot.waitUntil(lambda: turn(desk) is not None and turn(desk).what == what)
    desk.frame()
    assert desk.call.centre.looping
    after_gap(qtbot)
    chord(desk, key, SHIFT)
    qtbot.waitUntil(lambda: turn(desk) is None)
    desk.frame()
    assert desk.call.centre.looping == ""


def test_b_twice_takes_it_back_as_well(qtbot, desk):
    chord(desk, Key.Key_R, SHIFT)
    qtbot.waitUntil(lambda: turn(desk) is not None)
    chord(desk, Key.Key_B)
    assert "Verse once more" in desk.calls.asked().words
    after_gap(qtbot)
    chord(desk, Key.Key_B)
    qtbot.waitUntil(lambda: turn(desk) is None)


@pytest.mark.parametrize(("key", "what"), [(Key.Key_L, "last note"), (Key.Key_H, "house lights")])
def test_a_moment_is_marked_by_its_key_moved_by_two_presses_and_taken_back(qtbot, desk, key, what):
    chord(desk, key, SHIFT)
    qtbot.waitUntil(lambda: what in desk.host.book.state.moments)
    first_ns = desk.host.book.state.moments[what]
    after_gap(qtbot)
    chord(desk, key, SHIFT)
    assert "press again to move" in desk.calls.asked().heading
    after_gap(qtbot)
    chord(desk, key, SHIFT)
    qtbot.waitUntil(lambda: desk.host.book.state.moments[what] > first_ns)
    for _ in range(2):
        after_gap(qtbot)
        chord(desk, Key.Key_B)
    qtbot.waitUntil(lambda: what not in desk.host.book.state.moments)


def test_what_another_key_replaces_is_said(qtbot, desk):
    chord(desk, Key.Key_R, SHIFT)
    qtbot.waitUntil(lambda: turn(desk) is not None)
    after_gap(qtbot)
    chord(desk, Key.Key_K, SHIFT)
    assert desk.calls.asked().heading == "instead of"
    assert desk.calls.asked().words == "Verse once more"
    qtbot.waitUntil(lambda: turn(desk).what == "cut")
