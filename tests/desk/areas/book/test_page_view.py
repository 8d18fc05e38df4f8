"""A page as a table of Qt: by the model tester, by the mouse, by keys, and as a screen reader finds it."""

import pytest
from desk_keys import chord
from desk_window import desk_on
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QAbstractItemModelTester
from small_shows import document, item

from showcaller.desk.areas.book.page_view import PageModel
from showcaller.desk.areas.book.pages.page import Line

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def book(qtbot, tmp_path):
    with desk_on(qtbot, tmp_path, document([item("first", 120, []), item("second", 60, [])])) as window:
        yield window


def click(qtbot, view, row):
    at = view.list.visualRect(view.model_.index(row, 0)).center()
    qtbot.mouseClick(view.list.viewport(), Qt.MouseButton.LeftButton, pos=at)


def test_the_model_keeps_qts_rules(book):
    model = PageModel(book)
    QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    for lines in ((Line(("a", "b")), Line(("h",), heading=True)), (), (Line(("one",)),)):
        assert model.show_lines(lines)
        assert not model.show_lines(lines)
        assert model.rowCount() == len(lines)
    assert not model.flags(model.index(0, 0)) & Qt.ItemFlag.ItemIsDropEnabled


def test_a_heading_cannot_be_chosen_and_a_click_on_a_chosen_line_is_enter(qtbot, book):
    chord(book, Qt.Key.Key_U, CTRL)
    view, page = book.book.page, book.book.controller.pages.now
    assert page.at == 1, "the first line is a heading"
    click(qtbot, view, 0)
    assert page.at == 1
    click(qtbot, view, 2)
    assert page.at == 2
    assert not book.book.edit.is_open()
    click(qtbot, view, 2)
    assert book.book.edit.is_open()
    assert book.book.edit._line.text() == page.lines()[2].cells[0]
    over = book.book.edit.mapTo(book.book, book.book.edit._line.geometry().center())
    row = view.list.viewport().mapTo(book.book, view.list.visualRect(view.model_.index(2, 0)).center())
    assert abs(over.y() - row.y()) < 12
    book.book.edit.leave()


def test_keys_walk_the_page_and_the_table_follows(book):
    chord(book, Qt.Key.Key_U, CTRL)
    chord(book, Qt.Key.Key_Down)
    chord(book, Qt.Key.Key_Down)
    assert book.book.page.list.currentIndex().row() == book.book.controller.pages.now.at == 3
    chord(book, Qt.Key.Key_Escape)
    assert not book.book.page.isVisible()
    assert book.book.strip.isVisible()
    assert book.book.form.isVisible()


def test_what_a_page_is_told_later_stands_in_its_table(qtbot, book):
    chord(book, Qt.Key.Key_G, CTRL)
    page, view = book.book.controller.pages.now, book.book.page
    qtbot.waitUntil(lambda: not page._busy, timeout=20000)
    qtbot.waitUntil(lambda: view.model_.lines == page.lines())
    assert view._lead.text() == page.lead()


def test_a_screen_reader_finds_the_page_by_its_title_and_its_lines_whole(book):
    chord(book, Qt.Key.Key_P, CTRL)
    view = book.book.page
    table = QAccessible.queryAccessibleInterface(view.list)
    assert table.text(QAccessible.Text.Name) == "Export"
    names = [table.child(n).text(QAccessible.Text.Name) for n in range(table.childCount())]
    first = book.book.controller.pages.now.lines()[0]
    assert " ".join(first.cells) in names
