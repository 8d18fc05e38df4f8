"""The wall's lists as lists of Qt: by the model tester, by mouse and keys, as a screen reader finds them."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_keys import chord
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QAbstractItemModelTester, QTest
from PySide6.QtWidgets import QApplication
from wall_show import wall_show

from showcaller.archive.tour import Tour
from showcaller.desk.areas.wall.faults_panel import fault_rows
from showcaller.desk.areas.wall.layers_list import LayersModel
from showcaller.desk.areas.wall.wallview import LayerRow
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.tables import TextModel
from showcaller.desk.window import DeskWindow
from showcaller.screen.faults import Panel

FATAL = QAbstractItemModelTester.FailureReportingMode.Fatal
ROWS = (
    LayerRow("cam-1", "Gate camera", "camera", "10.00 × 5.63 m", "A, B", "2 ch"),
    LayerRow("sea", "Sea", "clip", "40.00 × 10.00 m", "all inputs", "straight"),
)
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def desk(qtbot, tmp_path: Path) -> Iterator[DeskWindow]:
    tour = Tour.create(tmp_path / "t.tour", "Small")
    window = DeskWindow(wall_show(9), tour, tmp_path / "runs", Keys())
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    window.show_area("Wall")
    window.wall.controller.transport.seek(25.0)
    window.frame()
    window.grab()
    yield window
    window.stop()
    window.host.close()


def names(widget) -> list[str]:
    found = QAccessible.queryAccessibleInterface(widget)
    return [found.child(n).text(QAccessible.Text.Name) for n in range(found.childCount())]


def test_the_models_keep_qts_rules(desk):
    layers, words = LayersModel(desk), TextModel(("panel", "what", "since"), desk)
    testers = [QAbstractItemModelTester(m, FATAL) for m in (layers, words)]
    for rows in (ROWS, ROWS[:1], (), ROWS, tuple(reversed(ROWS))):
        layers.show_rows(rows)
        assert layers.rowCount() == len(rows)
    for marked in ({Panel(1, 2): "dead"}, {}, {Panel(1, 2): "dead", Panel(3, 4): "dim"}):
        words.show_rows(fault_rows(marked, {Panel(1, 2): "dim", Panel(9, 9): "dead"}))
    assert testers


def test_faults_of_tonight_come_first_and_each_panel_once():
    rows = fault_rows({Panel(3, 4): "dead"}, {Panel(3, 4): "dim", Panel(1, 1): "dim"})
    assert [r.cells for r in rows] == [("C4", "dead", "tonight"), ("A1", "dim", "before tonight")]


def test_a_click_chooses_a_layer_and_keys_go_on_from_it(qtbot, desk):
    view = desk.wall.side.layers
    assert [r.key for r in view.model_.rows] == ["cam-1", "sea"]
    at = view.visualRect(view.model_.index(1, 0)).center()
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert desk.wall.state.chosen == "sea"
    chord(desk, Qt.Key.Key_Up, CTRL)
    desk.frame()
    assert desk.wall.state.chosen == "cam-1"
    assert view.currentIndex().row() == 0


def test_a_screen_reader_finds_layers_fields_templates_and_tabs(desk):
    desk.wall.state.chosen = "cam-1"
    desk.frame()
    desk.grab()
    wall = desk.wall
    assert any(n.startswith("Gate camera, 10.00 × ") for n in names(wall.side.layers))
    assert "opacity: 100 %" in names(wall.side.fields)
    assert QAccessible.queryAccessibleInterface(wall.side.fields).text(QAccessible.Text.Name) == (
        "Fields of Gate camera"
    )
    tabs = QAccessible.queryAccessibleInterface(wall.tabs)
    assert tabs.role() == QAccessible.Role.PageTabList
    assert "faults" in names(wall.tabs)
    chord(desk, Qt.Key.Key_Tab)
    desk.frame()
    desk.grab()
    assert any(n.startswith("template 1: processor, layer and input") for n in names(wall.sent.templates))
    assert any("bytes" in n for n in names(wall.sent.messages))
    buttons = [QAccessible.queryAccessibleInterface(b) for b in wall.words.all]
    assert {b.role() for b in buttons} == {QAccessible.Role.Button}
    assert buttons[0].text(QAccessible.Text.Name).startswith("play: ")
    assert wall.accessibleDescription().startswith("Gulls. Verse · bar 13")


def test_a_click_on_a_tab_turns_the_foot_and_tab_is_a_key_here(desk):
    tabs = desk.wall.tabs
    QTest.mouseClick(tabs, Qt.MouseButton.LeftButton, pos=tabs.tabRect(2).center())
    assert desk.wall.faults.isVisible()
    assert not desk.wall.channels.isVisible()
    chord(desk, Qt.Key.Key_Tab)
    assert desk.wall.facts.isVisible()
    chord(desk, Qt.Key.Key_Tab)
    assert desk.wall.grid.isVisible()
    chord(desk, Qt.Key.Key_Tab)
    assert desk.wall.setup.isVisible()
    chord(desk, Qt.Key.Key_Tab)
    assert desk.wall.cameras.isVisible()
    chord(desk, Qt.Key.Key_Tab)
    assert desk.wall.channels.isVisible()


def test_the_keyboard_goes_through_the_parts_of_the_wall_and_round(desk):
    seen = []
    for _ in range(40):
        desk.keyboard._released.clear()  # a finger, not a key that is held down
        chord(desk, Qt.Key.Key_Tab, CTRL)
        focus = QApplication.focusWidget()
        assert focus is not None
        if focus in seen:
            break
        seen.append(focus)
        assert focus.accessibleName() or focus is desk, f"{focus} is read as nothing"
    assert desk.wall.side.layers in seen
    assert desk.wall.tabs in seen
    assert seen.index(desk.wall.tabs) < seen.index(desk.wall.words.all[0]) < seen.index(desk.wall.side.layers)
    before = desk.wall.state.scene.item
    chord(desk, Qt.Key.Key_Down)
    desk.frame()
    assert desk.wall.state.scene.item == before + 1, "the keys of the area are heard wherever the focus is"


def test_messages_are_sorted_by_a_click_and_a_column_keeps_the_width_a_hand_gave_it(desk):
    chord(desk, Qt.Key.Key_Tab)
    desk.frame()
    desk.grab()
    view = desk.wall.sent.messages
    header, model = view.header(), view.model()

    def column(n: int) -> list[str]:
        return [model.index(row, n).data() for row in range(model.rowCount())]

    given, layer = column(1), 1
    x = header.sectionViewportPosition(layer) + 8
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(x, 4))
    assert column(1) == sorted(given)
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(x, 4))
    assert column(1) == sorted(given, reverse=True)
    header.resizeSection(0, 203)
    desk.wall.controller.transport.seek(26.0)
    desk.frame()
    assert header.sectionSize(0) == 203
    assert column(1) == sorted(given, reverse=True), "what comes anew is sorted too"
    at = QPoint(header.sectionViewportPosition(1) + 8, 4)
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert column(1) == given


def test_no_text_that_decides_is_cut_on_a_small_screen(desk, monkeypatch):
    """At 1280 × 720: why a layer is not direct, how far it is distorted, all surfaces it is on, a refusal."""
    cut: list[str] = []
    written = Paper.text

    def text(self, x, y, words, size="body", *more, room=None, **others):
        if words.endswith("…") or (room is not None and self.width_of(words, self.size(size)) > room + 1):
            cut.append(words)
        return written(self, x, y, words, size, *more, room=room, **others)

    monkeypatch.setattr(Paper, "text", text)
    edits, state = desk.wall.controller.edits.layer, desk.wall.state
    desk.wall.perform("front")
    state.everywhere.add((state.scene.standing.look.id, "gulls", state.scene.standing.cue))
    tint = {"kind": "tint", "dark": "#102A43", "light": "#FFB347"}
    kinds = [tint, {"kind": "posterize", "levels": 4}]
    edits.set_layer("set", {"straight": True, "height_m": 9.0, "treatments": kinds})
    desk.wall.controller.attempt(
        lambda: edits.type_into("place", "four apples and a pear from the left edge")
    )
    desk.frame()
    desk.grab()
    assert "left, bottom: type 25.95" in desk.wall.said.words
    assert cut == []
    fields = desk.wall.side.fields
    shape, treatment = (next(n for n, r in enumerate(fields.model_.rows) if r.key == k)
                        for k in ("shape", "treatments"))  # fmt: skip
    assert fields.model_.rows[shape].text.startswith("distorted: 11 % too wide")
    assert fields.row_high(treatment) > fields.row_high(shape)  # in two lines
    free, wrong = desk.wall.side.layers.highs(desk.wall.side.width())
    assert wrong > free  # why it is not direct needs two lines
