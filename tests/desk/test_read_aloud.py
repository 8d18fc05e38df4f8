"""Every area as Qt tells it to a screen reader: named parts with roles, what they hold, their order."""

import pytest
from desk_keys import chord, fired, go
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from wall_show import wall_show

from showcaller.archive.tour import Tour
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow

ROLES = QAccessible.Role
WHOLE = (ROLES.Table, ROLES.Tree, ROLES.List, ROLES.PageTabList)
"""Their own children are cells and tabs."""


def parts(widget) -> list[tuple[str, QAccessible.Role, str]]:
    """(name, role, description) of a widget's visible parts and theirs, as Qt's own interface gives them."""
    found = []

    def walk(interface) -> None:
        for n in range(interface.childCount()):
            child = interface.child(n)
            if child is None or child.object() is None or child.state().invisible:
                continue
            name, told = (child.text(what) for what in (QAccessible.Text.Name, QAccessible.Text.Description))
            found.append((name, child.role(), told))
            if child.role() not in WHOLE:
                walk(child)

    walk(QAccessible.queryAccessibleInterface(widget))
    return found


def told_by(widget) -> dict[str, str]:
    return {name: told for name, _, told in parts(widget)}


def area(window, name):
    window.show_area(name)
    window.frame()
    window.grab()
    return window.areas.currentWidget()


def focus_names(window) -> list[str]:
    """What the keyboard goes through, round once."""
    window.setFocus()
    seen = []
    while True:
        window.focus_on()
        focus = QApplication.focusWidget()
        if focus in seen:
            return [w.accessibleName().partition(":")[0] for w in seen]
        seen.append(focus)


@pytest.fixture
def walled(qtbot, tmp_path):
    tour = Tour.create(tmp_path / "t.tour", "Small")
    window = DeskWindow(wall_show(9), tour, tmp_path / "runs", Keys())
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.stop()
    window.host.close()


@pytest.mark.parametrize("name", ["Book", "Wall", "Call", "Drift"])
def test_every_part_that_is_shown_has_a_name_of_its_own(walled, name):
    found = parts(area(walled, name))
    assert [(role, told) for words, role, told in found if not words] == []
    names = [words for words, _, _ in found]
    assert len(names) == len(set(names))


def test_the_areas_are_tabs_and_a_click_on_one_goes_there(walled):
    tabs = walled.header.tabs
    bar = QAccessible.queryAccessibleInterface(tabs)
    assert bar.role() == ROLES.PageTabList
    assert [bar.child(n).text(QAccessible.Text.Name) for n in range(4)] == ["Book", "Wall", "Call", "Drift"]
    for n, name in ((1, "Wall"), (3, "Drift"), (0, "Book")):
        QTest.mouseClick(tabs, Qt.MouseButton.LeftButton, pos=tabs.tabRect(n).center())
        assert walled.area_name() == name
        assert tabs.currentIndex() == n
    chord(walled, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert tabs.currentIndex() == 1


def test_the_book_is_buttons_a_running_order_a_strip_and_a_form(walled):
    book = area(walled, "Book")
    kinds = {name: role for name, role, _ in parts(book) if role != ROLES.Button}
    assert list(kinds) == ["Running order", "Song strip", "Form of Gulls", "Fields", "Longer fields"]
    assert kinds["Running order"] == kinds["Fields"] == ROLES.Tree
    assert told_by(book)["Song strip"].startswith("Gulls. 2:00 · 120 bpm")
    names = focus_names(walled)
    assert names[:2] == ["Areas", "new cue"]
    assert names[-3:] == ["Running order", "Fields", "Longer fields"]


def test_the_wall_says_what_is_on_it_and_how_many_channels_that_takes(walled):
    walled.show_area("Wall")
    walled.wall.controller.transport.seek(25.0)
    told = told_by(area(walled, "Wall"))
    assert told["The wall, to scale"] == "from the front: Gate camera, Sea"
    assert told["Processing channels over the song"].startswith("at most ")
    assert "two channels short" in told["Channels and sources"]
    names = focus_names(walled)
    assert names[:2] == ["Areas", "What the foot shows"]
    assert names[-1] == "Layers, front first"


def test_in_call_the_place_the_times_and_what_is_waited_for_follow_the_show(qtbot, live):
    call = area(live, "Call")
    before = told_by(call)
    assert {"Times of the show", "Running order"} <= set(before)
    assert before["Running order"] == "at First"
    assert "since the first go" in before["Times of the show"]
    go(qtbot, live)
    qtbot.waitUntil(lambda: live.host.book.state.clock_ns is not None)
    live.frame()
    assert told_by(area(live, "Call"))["Times of the show"] != before["Times of the show"]
    assert call.centre.accessibleDescription(), "the line to say now is told"


def test_a_go_is_heard_whichever_tab_has_the_keyboard(qtbot, live):
    live.show_area("Call")
    live.header.tabs.setFocus()
    assert QApplication.focusWidget() is live.header.tabs
    go(qtbot, live)
    qtbot.waitUntil(lambda: fired(live) == ["a"])
    assert live.area_name() == "Call"
