"""Drift's lists: sorted by a column and as it happened again, copied as text, reached by keys, read aloud."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_keys import chord
from played import Played
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from small_shows import cue, item, show

from showcaller.archive.tour import Tour
from showcaller.desk.areas.drift.lists import Row, in_order
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.run import commands as c

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def window(qtbot, tmp_path: Path) -> Iterator[DeskWindow]:
    cues = [cue("c0", "1", 0), cue("c1", "10", 5), cue("c2", "9", 10), cue("c3", "2", 15)]
    book = show([item("first", 40, cues), item("second", 20, [cue("z", "500", 0)])])
    tour = Tour.create(tmp_path / "t.tour", "Small")
    edition = tour.add_edition(book)
    for n in range(3):
        played = Played(book)
        played.go(2)
        for at_s, late_s in ((7, 0.3), (12, -0.4), (17, 0.9)):
            played.go(at_s + late_s)
        played.go(2 + 40 + 9 + n)
        played.at(80, c.End("curtain"))
        tour.add_run(edition, played.records, run_id=f"r{n}")
    made = DeskWindow(book, tour, tmp_path / "runs", Keys())
    made.resize(1280, 720)
    made.show()
    qtbot.waitExposed(made)
    made.show_area("Drift")
    made.drift.settle()
    made.grab()
    yield made
    made.stop()
    made.host.close()


def shown(area) -> list[str]:
    model = area.list.model()
    return [model.index(n, 0).data() for n in range(model.rowCount())]


def click_header(area, column: int) -> None:
    header = area.list.header()
    x = header.sectionViewportPosition(column) + header.sectionSize(column) // 2
    at = QPoint(x, header.height() // 2)
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=at)


def test_a_header_sorts_and_at_the_third_click_it_is_as_it_happened(window) -> None:
    area = window.drift
    happened = shown(area)
    assert happened[:4] == ["Lights 1", "Lights 10", "Lights 9", "Lights 2"]
    area.state.choose(1)
    click_header(area, 0)
    assert shown(area) == ["Lights 1", "Lights 2", "Lights 9", "Lights 10", "Lights 500"]
    assert area.state.rows()[area.state.chosen].name == "Lights 10", "the same line stays chosen"
    assert area.list.currentIndex().data() == "Lights 10"
    chord(window, Qt.Key.Key_Up)
    assert area.list.currentIndex().data() == "Lights 9", "keys walk the order that is seen"
    click_header(area, 0)
    assert shown(area)[0] == "Lights 500"
    click_header(area, 0)
    assert shown(area) == happened


def test_lateness_sorts_by_how_late_and_what_has_no_figure_is_last() -> None:
    rows = (
        Row("a", "", "+0.9 s", 0.45, True), Row("b", "missed"), Row("c", "", "−0.4 s", -0.2, True),
        Row("d", "", "on time", 0.0, True),
    )  # fmt: skip
    assert [r.name for r in in_order(rows, (2, False))] == ["c", "d", "a", "b"]
    assert [r.name for r in in_order(rows, (3, True))] == ["a", "d", "c", "b"]
    assert in_order(rows, None) is rows


def test_a_column_that_was_made_wider_stays_so_while_lines_are_chosen(window) -> None:
    area = window.drift
    area.list.header().resizeSection(0, 210)
    for n in (1, 2, 0):
        area.state.choose(n)
    assert area.list.header().sectionSize(0) == 210


def test_several_lines_are_copied_as_text_by_the_usual_key(window) -> None:
    area = window.drift
    for row, held in ((0, Qt.KeyboardModifier.NoModifier), (2, CTRL)):
        at = area.list.visualRect(area.list.model().index(row, 1)).center()
        QTest.mouseClick(area.list.viewport(), Qt.MouseButton.LeftButton, held, at)
    QGuiApplication.clipboard().clear()
    chord(window, Qt.Key.Key_C, CTRL)
    lines = QGuiApplication.clipboard().text().splitlines()
    assert [line.split("\t")[0] for line in lines] == ["Lights 1", "Lights 9"]
    assert all(line.count("\t") == 2 for line in lines)


def test_an_offer_is_taken_in_by_a_click_on_its_key(window) -> None:
    area = window.drift
    assert area.state.view.offers[0].words.startswith("Plan “First” at 0:50")
    at = area.offers.visualRect(area.offers.model().index(0, 2)).center()
    QTest.mouseClick(area.offers.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert window.store.show_now.items[0].length_s == 50


def test_a_screen_reader_finds_charts_lists_tabs_and_buttons_and_the_focus_goes_through_them(window) -> None:
    area = window.drift
    fall = QAccessible.queryAccessibleInterface(area.fall)
    assert fall.text(QAccessible.Text.Name) == "Where the time went"
    assert fall.text(QAccessible.Text.Description) == area.state.view.sentence
    assert area.trend.accessibleDescription().startswith("run 1 0:4")
    tabs = QAccessible.queryAccessibleInterface(area.tabs)
    assert tabs.role() == QAccessible.Role.PageTabList
    seen = []
    for _ in range(40):
        window.keyboard._released.clear()  # a finger, not a key that is held down
        chord(window, Qt.Key.Key_Tab, CTRL)
        focus = QApplication.focusWidget()
        assert focus is not None
        if focus in seen:
            break
        seen.append(focus)
        assert focus.accessibleName() or focus is window, f"{focus} is read as nothing"
    order = [seen.index(part) for part in (area.offers, area.tabs, area.list, area.words.all[0])]
    assert order == sorted(order)
