"""The table of actions and what is made of it: menu bar, menus of a right click, palette, keys."""

from pathlib import Path

import pytest
from desk_keys import after_gap, answer, chord, fired, press
from devices import end_engines
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QKeySequence, QPainter
from PySide6.QtWidgets import QMainWindow, QMenu
from small_shows import desk_show

from showcaller.archive.tour import Tour
from showcaller.desk.actions import ACTIONS, CONTEXT, MENUS
from showcaller.desk.keys import FOOT, OTHERS_FOOT, Keys
from showcaller.desk.menus import Menus
from showcaller.desk.palette import matches
from showcaller.desk.window import DeskWindow

DESK = Path(__file__).parents[2] / "showcaller" / "desk"


def test_every_action_has_a_word_what_it_does_and_a_menu_that_is_there():
    for action in ACTIONS.values():
        assert action.word, action
        assert action.does, action
        assert action.menu in (*MENUS, ""), action
    assert {name for names in CONTEXT.values() for name in names} <= ACTIONS.keys()
    assert {*FOOT, *OTHERS_FOOT} <= ACTIONS.keys()


def test_every_key_is_one_that_qt_knows():
    for action in ACTIONS.values():
        for key in action.keys:
            assert QKeySequence(key).toString(), f"{action.id}: {key}"


def test_no_second_place_names_a_key_of_the_desk():
    """A text takes a chord from the keys in use; Enter and Escape belong to every line one types in."""
    named = []
    for path in DESK.rglob("*.py"):
        if path.name in ("actions.py", "keys.py", "seats.py"):
            continue
        lines = path.read_text(encoding="utf-8").splitlines()
        named += [f"{path.name}: {line.strip()}" for line in lines if "Ctrl+" in line or "Alt+" in line]
    assert named == []


def test_every_action_of_an_area_is_one_the_area_can_do(desk):
    for action in ACTIONS.values():
        if action.where[0] in ("Book", "Wall", "Drift") and action.id not in ("book.import", "wall.compare"):
            desk.performer.do(action.id)
            if desk.prompt.is_open():
                desk.prompt.leave()
            desk.book.edit.leave()


def test_the_menu_bar_holds_every_action_and_greys_what_cannot_be_done(desk):
    assert desk.menus.bar.isVisible()
    shown = {a.objectName() for m in desk.menus.bar.actions() for a in m.menu().actions()}
    assert {a.id for a in ACTIONS.values() if a.menu} <= shown
    call = next(m.menu() for m in desk.menus.bar.actions() if "Call" in m.text().replace("&", ""))
    call.aboutToShow.emit()
    go = desk.menus.actions["go"]
    assert not go.isEnabled()
    assert go.toolTip() == "no show is open"
    assert go.shortcut().toString() == "G"


def test_the_menu_bar_is_painted_at_every_size(qtbot):
    window = QMainWindow()
    qtbot.addWidget(window)
    menus = Menus(window, Keys(), lambda _name: None, lambda _name: None)
    window.setMenuBar(menus.bar)
    window.resize(3840, 600)
    window.show()
    for height in range(600, 2200, 40):
        menus.fit(height / 1080)
        box = menus.bar.rect()
        out = [a.text() for a in menus.bar.actions() if not box.contains(menus.bar.actionGeometry(a))]
        assert not out, f"{height} px high: Qt paints no entry that is larger than its bar"


def test_in_a_run_the_menu_bar_is_hidden_until_it_is_called_for(qtbot, live):
    live.frame()
    assert live.menus.bar.isHidden()
    for call in ("F10", "Alt"):
        if call == "F10":
            chord(live, Qt.Key.Key_F10)
        else:
            chord(live, Qt.Key.Key_Alt, Qt.KeyboardModifier.AltModifier)
        live.frame()
        assert live.menus.bar.isVisible(), call
        live.menus.bar.setActiveAction(None)
        for menu in live.menus.bar.actions():
            menu.menu().close()
        live.menus.bar.setActiveAction(None)
        live.frame()
        assert live.menus.bar.isHidden(), call
    assert fired(live) == []


def test_a_menu_does_what_the_key_does(qtbot, live):
    live.menus.actions["go"].trigger()
    qtbot.waitUntil(lambda: fired(live) == ["a"])


def test_a_right_click_in_the_book_offers_what_can_be_done_with_the_cue(qtbot, desk):
    desk.show_area("Book")
    desk.book.controller.step(0, 1)
    menu = desk.menus.context("cue", desk, QPoint(10, 10))
    assert isinstance(menu, QMenu)
    assert [a.objectName() for a in menu.actions()] == list(CONTEXT["cue"])
    before = len(desk.store.show_now.items[0].cues)
    next(a for a in menu.actions() if a.objectName() == "book.remove").trigger()
    assert len(desk.store.show_now.items[0].cues) == before - 1
    chord(desk, Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    chord(desk, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert len(desk.store.show_now.items[0].cues) == before
    chord(desk, Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    assert len(desk.store.show_now.items[0].cues) == before - 1
    menu.close()


def test_little_words_hinder_no_finding():
    assert matches("open the show") == matches("open show")
    assert matches("open the show")[0] == "open"


def test_the_palette_finds_by_words_shows_the_key_and_does_it(qtbot, desk):
    with_both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    chord(desk, Qt.Key.Key_P, with_both)
    assert desk.palette_.isVisible()
    qtbot.keyClick(desk.palette_.edit, Qt.Key.Key_Return)
    assert desk.palette_.isVisible(), "with nothing typed nothing is chosen"
    qtbot.keyClicks(desk.palette_.edit, "day sheet")
    row = [desk.palette_.model.item(0, n).text() for n in range(3)]
    assert row[0] == "day sheet"
    assert row[2] == "Book Ctrl+Shift+D"
    qtbot.keyClick(desk.palette_.edit, Qt.Key.Key_Return)
    assert not desk.palette_.isVisible()
    assert desk.area_name() == "Book"
    assert desk.book.controller.pages.now.title == "Day sheet"
    desk.performer.do("palette")
    qtbot.keyClicks(desk.palette_.edit, "skip")
    assert desk.palette_.model.item(0, 1).text() == "no show is open"
    qtbot.keyClick(desk.palette_.edit, Qt.Key.Key_Return)
    assert desk.palette_.isVisible(), "what cannot be done is not done, and says why"
    qtbot.keyClick(desk.palette_.edit, Qt.Key.Key_Escape)
    assert not desk.palette_.isVisible()


@pytest.mark.parametrize(
    ("words", "first"), [("go", "go"), ("undo", "undo"), ("tempo tap", "book.tap"), ("redo", "redo")]
)
def test_what_begins_with_what_is_typed_comes_first(words, first):
    assert matches(words)[0] == first


def texts_of(window: DeskWindow) -> str:
    """Every text that is painted on a window just now."""
    drawn = []
    with pytest.MonkeyPatch.context() as patch:
        real = QPainter.drawText

        def draw(self, *args):
            drawn.extend(a for a in args if isinstance(a, str))
            return real(self, *args)

        patch.setattr(QPainter, "drawText", draw)
        window.grab()
    return " | ".join(drawn)


def test_a_changed_key_acts_and_every_text_says_it(qtbot, tmp_path, receiver):
    keys = Keys({"go": "F9", "standby": "Q", "open": "F3", "note": "F4"})
    tour = Tour.create(tmp_path / "t.tour", "Small")
    window = DeskWindow(desk_show(receiver.getsockname()[1]), tour, tmp_path / "runs", keys)
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    try:
        assert "F3 opens it" in texts_of(window)
        assert "F4, then type" in texts_of(window)
        chord(window, Qt.Key.Key_F3)
        answer(qtbot, window, "Ines")
        answer(qtbot, window, "live")
        qtbot.waitUntil(lambda: window.host.book.state.phase == "running")
        window.frame()
        assert "Q: standby called · F9 still fires" in texts_of(window)
        press(window, "g")
        qtbot.wait(150)
        assert fired(window) == []
        window.show_area("Wall")
        chord(window, Qt.Key.Key_F9)
        after_gap(qtbot)
        chord(window, Qt.Key.Key_F9)
        qtbot.waitUntil(lambda: fired(window) == ["a"])
    finally:
        window.stop()
        window.host.close()
        end_engines(tmp_path / "runs")


def test_the_list_of_keys_is_there_in_every_area(desk):
    for area in ("Wall", "Call", "Drift"):
        desk.show_area(area)
        desk.performer.do("help")
        assert desk.palette_.isVisible(), area
        desk.palette_.leave()


def test_enter_in_the_list_of_keys_of_a_run_fires_nothing(qtbot, live):
    live.performer.do("help")
    assert live.palette_.model.item(0, 2).text() == "G"
    qtbot.keyClick(live.palette_.edit, Qt.Key.Key_Return)
    qtbot.wait(150)
    assert fired(live) == []
    assert not live.palette_.isVisible()
