"""The record as a table of Qt: by the model tester, by the mouse, and as a screen reader finds it."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QAbstractItemModelTester

from showcaller.desk.areas.drift.lists import Row
from showcaller.desk.areas.drift.record_list import RecordList, RecordModel
from showcaller.desk.qt import QWidget

ROWS = (
    Row("Lights 1", "first light", "+0.2 s", 0.1, True),
    Row("Video 7", "missed: the engine was down", tone="caution"),
    Row("Lights 2", "chorus", "−0.4 s", -0.2, True),
)


@pytest.fixture
def shown(qtbot, qapp):
    parent = QWidget()
    qtbot.addWidget(parent)
    made = RecordList(parent)
    parent.resize(600, 300)
    made.fit(14, 24)
    made.setGeometry(0, 0, 600, 300)
    made.show()
    parent.show()
    qtbot.waitExposed(parent)
    made.show_page("cues", ROWS, 1)
    yield made
    parent.close()


def test_the_model_keeps_qts_rules(shown):
    model = RecordModel(shown)
    QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    for rows in (ROWS, (), ROWS[:1]):
        model.show_rows(rows)
        assert model.rowCount() == len(rows)


def test_the_chosen_line_is_current_and_a_click_chooses_another(qtbot, shown):
    assert shown.currentIndex().row() == 1
    chosen = []
    shown.chose.connect(chosen.append)
    at = shown.visualRect(shown.model().index(2, 1)).center()
    qtbot.mouseClick(shown.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert chosen == [2]


def test_several_lines_go_out_as_text(shown):
    shown.selectAll()
    assert shown.as_text().splitlines()[0] == "Lights 1\tfirst light\t+0.2 s"
    assert len(shown.as_text().splitlines()) == 3


def test_a_screen_reader_finds_the_page_and_whole_lines(shown):
    found = QAccessible.queryAccessibleInterface(shown)
    assert found.text(QAccessible.Text.Name) == "What happened: cues"
    names = [found.child(n).text(QAccessible.Text.Name) for n in range(found.childCount())]
    assert "Video 7, missed: the engine was down" in names
