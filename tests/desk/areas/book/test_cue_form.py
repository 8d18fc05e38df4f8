"""The form as tables of Qt: by the model tester, by the mouse, and as a screen reader finds it."""

import pytest
from desk_keys import chord
from desk_window import desk_on
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QAbstractItemModelTester
from small_shows import cue, document, item

from showcaller.desk.areas.book.chosen import Chosen
from showcaller.desk.areas.book.cue_form import rows_of
from showcaller.desk.areas.book.form import Form, form_of
from showcaller.desk.paint.fields import FieldsModel


@pytest.fixture
def book(qtbot, tmp_path):
    sends = [{"kind": "osc", "outlet": "wall", "address": "/oscillator/4/frequency", "args": [440.0]}]
    items = [item("first", 120, [cue("a", "1", 10), cue("b", "2", 30, "video", messages=sends)])]
    outlets = [{"kind": "osc_udp", "id": "wall", "name": "Wall", "port": 9123}]
    with desk_on(qtbot, tmp_path, document(items, outlets=outlets)) as window:
        yield window


def shown(view):
    """{label: text} of a column of the form."""
    model = view.model()
    return {model.index(n, 0).data(): model.index(n, 1).data() for n in range(model.rowCount())}


def test_a_form_has_the_fields_of_what_is_chosen_and_every_one_stands_in_one_column(book):
    show = book.store.show_now
    for chosen in (Chosen("first"), Chosen("first", "b"), Chosen("first", None, True)):
        form = form_of(show, chosen)
        assert sorted((*form.short, *form.long)) == list(range(len(form.fields)))
        assert form.fields


def test_a_message_is_shown_with_its_bytes(book):
    # OSC 1.0 specification, examples: "/oscillator/4/frequency" with 440.0 is 32 bytes that begin so.
    form = form_of(book.store.show_now, Chosen("first", "b"))
    (words,) = form.bytes_of.values()
    assert words.startswith("32 bytes: 2F 6F 73 63 69 6C 6C 61 74 6F 72")
    assert form_of(book.store.show_now, Chosen("first", "a")).bytes_of == {}


def test_the_model_keeps_qts_rules_over_every_form(book):
    model = FieldsModel(book)
    QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    show = book.store.show_now
    for form in (Form(), form_of(show, Chosen("first")), form_of(show, Chosen("first", "b")), Form()):
        model.show_rows(rows_of(form, form.long))
        assert model.rowCount() == len(form.long)


def test_the_form_follows_what_is_chosen_and_what_is_empty_is_a_dash(book):
    assert shown(book.book.form.short)["name"] == "First"
    chord(book, Qt.Key.Key_Right)
    fields = shown(book.book.form.short)
    assert fields["when"] == "0:10"
    assert fields["warning"] == "–"
    assert book.book.form.accessibleName() == "Form of Lights 1"


def test_a_click_on_a_field_types_into_it_over_its_own_text(qtbot, book):
    chord(book, Qt.Key.Key_Right)
    view = book.book.form.short
    row = [view.model().index(n, 0).data() for n in range(view.model().rowCount())].index("when")
    at = view.visualRect(view.model().index(row, 1)).center()
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=at)
    edit = book.book.edit
    assert edit.is_open()
    assert edit._line.text() == "0:10"
    over = edit._line.mapTo(book.book, edit._line.rect().center())
    field = view.viewport().mapTo(book.book, at)
    assert abs(over.y() - field.y()) <= 3


def test_a_click_on_a_field_while_another_holds_what_will_not_do_leaves_that_one_open(qtbot, book):
    chord(book, Qt.Key.Key_Right)
    book.book.controller.typing.open(1)
    book.book.edit._line.setText("yesterday")
    view = book.book.form.short
    at = view.visualRect(view.model().index(0, 1)).center()
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert book.book.edit._line.text() == "yesterday"
    assert "is not a time or a place" in book.book.edit._hint.text()


def test_a_screen_reader_finds_the_fields_with_their_texts_and_hints(book):
    chord(book, Qt.Key.Key_Right)
    book.grab()  # Qt lays out a view when it is painted
    table = QAccessible.queryAccessibleInterface(book.book.form.short)
    assert table.text(QAccessible.Text.Name) == "Fields"
    cells = [table.child(n).text(QAccessible.Text.Name) for n in range(table.childCount())]
    assert "when: 0:10" in cells
    assert "warning: empty" in cells
    model = book.book.form.short.model()
    assert model.index(0, 1).data(Qt.ItemDataRole.ToolTipRole) == "what happens, in a few words"
