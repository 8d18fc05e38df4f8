"""The running order as a list of Qt: by the model tester, by the mouse, and as a screen reader finds it."""

import pytest
from desk_keys import chord
from desk_window import desk_on
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QGuiApplication
from PySide6.QtTest import QAbstractItemModelTester
from small_shows import cue, document, item

from showcaller.desk.areas.book.order_list import OrderList, OrderModel, order_lines
from showcaller.desk.paint.views import TEXT_PX
from showcaller.editing import SetFields


@pytest.fixture
def book(qtbot, tmp_path):
    items = [
        item(name, 60, [cue(f"{name}-1", str(n), 5)]) for n, name in enumerate(("first", "second", "talk"), 1)
    ]
    with desk_on(qtbot, tmp_path, document(items)) as window:
        window.frame()
        window.grab()
        yield window


def middle(book, row):
    order = book.book.order
    return order.visualRect(order.model().index(row, 0)).center()


def test_the_model_keeps_qts_rules_through_edits(qtbot, book):
    model = OrderModel(book)
    QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    lines = order_lines(book.store.show_now)
    for shown in (lines, lines[1:], (), lines[::-1]):
        model.show_lines(shown)
        assert model.rowCount() == len(shown)


def test_a_click_chooses_and_keys_stay_the_windows(qtbot, book):
    order = book.book.order
    qtbot.mouseClick(order.viewport(), Qt.MouseButton.LeftButton, pos=middle(book, 1))
    assert book.book.state.chosen.item == "second"
    chord(book, Qt.Key.Key_Down)
    assert book.book.state.chosen.item == "talk"
    assert order.currentIndex().row() == 2
    qtbot.keyClick(order, Qt.Key.Key_Up)
    assert book.book.state.chosen.item == "second", "also while the list has the focus"
    chord(book, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert [i.id for i in book.store.show_now.items] == ["second", "first", "talk"]
    assert order.currentIndex().row() == 0


def test_a_double_click_types_into_the_item(qtbot, book):
    order = book.book.order
    for press in (qtbot.mouseClick, qtbot.mouseDClick):
        press(order.viewport(), Qt.MouseButton.LeftButton, pos=middle(book, 1))
    assert book.book.edit.is_open()
    book.book.edit.leave()


def test_an_item_cut_tonight_is_grey_and_is_said_so(qtbot, book):
    book.performer.do("book.out")
    model = book.book.order.model()
    assert model.index(0, 1).data().startswith("out ")
    assert model.index(0, 0).data(Qt.ItemDataRole.AccessibleTextRole).endswith("cut tonight")


def test_several_rows_are_chosen_at_once_and_go_out_as_text(qtbot, book):
    order: OrderList = book.book.order
    qtbot.mouseClick(order.viewport(), Qt.MouseButton.LeftButton, pos=middle(book, 0))
    order.selectAll()
    assert [line.split("\t")[0] for line in order.as_text().splitlines()] == ["First", "Second", "Talk"]


def test_the_usual_key_copies_several_rows_as_text_and_of_one_row_still_the_cue(qtbot, book):
    order, ctrl = book.book.order, Qt.KeyboardModifier.ControlModifier
    qtbot.mouseClick(order.viewport(), Qt.MouseButton.LeftButton, pos=middle(book, 0))
    qtbot.mouseClick(order.viewport(), Qt.MouseButton.LeftButton, ctrl, middle(book, 2))
    chord(book, Qt.Key.Key_C, ctrl)
    assert QGuiApplication.clipboard().text() == "\n".join(
        f"{line.name}\t{line.length}" for n, line in enumerate(order.model().lines) if n != 1
    )
    assert book.book.said.words == "2 rows copied as text"
    qtbot.mouseClick(order.viewport(), Qt.MouseButton.LeftButton, pos=middle(book, 0))
    chord(book, Qt.Key.Key_Right)
    chord(book, Qt.Key.Key_C, ctrl)
    assert book.book.said.words.startswith("Lights 1 copied")


def test_a_click_on_the_list_leaves_what_will_not_do_open_with_the_keys(qtbot, book):
    book.book.controller.typing.open(1)
    book.book.edit._line.setText("yesterday")
    qtbot.mouseClick(book.book.order.viewport(), Qt.MouseButton.LeftButton, pos=middle(book, 2))
    assert book.book.state.chosen.item != "talk"
    assert book.book.edit.is_open()
    assert book.book.edit._line.hasFocus()


def test_a_screen_reader_finds_the_list_its_rows_and_what_is_chosen(qtbot, book):
    found = QAccessible.queryAccessibleInterface(book.book.order)
    assert found.text(QAccessible.Text.Name) == "Running order"
    assert found.role() in (QAccessible.Role.Tree, QAccessible.Role.Table, QAccessible.Role.List)
    names = [found.child(n).text(QAccessible.Text.Name) for n in range(found.childCount())]
    assert any(name.startswith("Second, ") for name in names)
    buttons = [QAccessible.queryAccessibleInterface(b) for b in book.book.buttons.all]
    assert all(b.role() == QAccessible.Role.Button for b in buttons)
    assert buttons[0].text(QAccessible.Text.Name).startswith("new cue: a new cue")
    assert QAccessible.queryAccessibleInterface(book.menus.bar).role() == QAccessible.Role.MenuBar


def test_columns_have_names_and_can_be_made_wider_and_nothing_sorts_the_show(qtbot, book):
    order: OrderList = book.book.order
    header = order.header()
    assert not header.isHidden()
    names = [order.model().headerData(n, Qt.Orientation.Horizontal) for n in (0, 1)]
    assert names == ["running order", "length"]
    assert not order.isSortingEnabled()
    assert not header.sectionsClickable()
    wide = order.fontMetrics().horizontalAdvance("1:00")
    assert order.columnWidth(1) > wide + 2 * TEXT_PX, "the lengths are seen whole"
    assert order.columnWidth(0) + order.columnWidth(1) == order.viewport().width()
    edge = header.sectionSize(0)
    drag = header.viewport()
    qtbot.mousePress(drag, Qt.MouseButton.LeftButton, pos=QPoint(edge - 1, header.height() // 2))
    qtbot.mouseMove(drag, QPoint(edge - 41, header.height() // 2))
    qtbot.mouseRelease(drag, Qt.MouseButton.LeftButton, pos=QPoint(edge - 41, header.height() // 2))
    assert order.columnWidth(0) == edge - 40
    book.store.do("name", SetFields(at=("items", "second"), fields={"name": "Another"}))
    book.frame()
    assert order.columnWidth(0) == edge - 40, "an edit leaves it"
    assert [i.id for i in book.store.show_now.items] == ["first", "second", "talk"]


def test_an_edit_tells_the_list_only_of_the_rows_it_changed(qtbot, book):
    told = []
    model = book.book.order.model()
    model.dataChanged.connect(lambda a, b, _roles: told.append((a.row(), b.row())))
    book.store.do("name", SetFields(at=("items", "second"), fields={"name": "Another"}))
    assert told == [(1, 1)]
