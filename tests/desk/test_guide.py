"""The guides: each step is done by doing it, over the real desk."""

import pytest
from desk_keys import after_gap, answer, chord, go, press

from showcaller.desk.actions import ACTIONS
from showcaller.desk.guide import SEEN_FILE, GuideBar
from showcaller.desk.guide_steps import GUIDES, Guide, GuideFacts
from showcaller.desk.keyboard import REPEAT_S
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QPushButton, Qt
from showcaller.desk.seats import SEATS


@pytest.mark.parametrize("seat", list(SEATS))
def test_a_guide_has_five_steps_whose_keys_are_in_use(seat):
    guide, keys = Guide(seat), Keys()
    assert len(GUIDES[seat]) == 5
    for n in range(5):
        far, words = guide.words(keys)
        assert far == f"{n + 1} of 5"
        assert "{" not in words
        guide.at += 1
    assert "handbook" in guide.words(keys)[1]


def test_steps_are_gone_through_in_order_and_several_at_once():
    guide = Guide("caller")
    assert not guide.look(GuideFacts(kinds=frozenset({"said standby"})))
    assert guide.at == 0, "the first is still to be done"
    guide.look(GuideFacts(is_open=True, kinds=frozenset({"said warning"})))
    assert guide.at == 1, "a warning is no standby"
    guide.look(GuideFacts(is_open=True, kinds=frozenset({"said standby", "answered"})))
    assert guide.at == 3
    assert guide.look(GuideFacts("Drift", kinds=frozenset({"said standby", "answered", "fired"})))
    assert guide.at == 5


def test_escape_is_asked_twice_while_steps_are_left(qtbot, desk):
    desk.performer.do("guide.caller")
    chord(desk, Qt.Key.Key_Escape)
    assert desk.guide.is_on
    assert desk.guide.out.text().startswith("Esc again leaves it")
    qtbot.wait(round(REPEAT_S * 1000) + 20)
    chord(desk, Qt.Key.Key_Escape)
    assert not desk.guide.is_on


def test_a_first_rehearsal_is_called_along_the_guide(qtbot, desk):
    desk.performer.do("guide.caller")
    desk.frame()
    assert desk.guide.far.text() == "Guide 1 of 5"
    press(desk, "r")
    answer(qtbot, desk, "Ines")
    answer(qtbot, desk, "live")
    qtbot.waitUntil(lambda: desk.guide.far.text() == "Guide 2 of 5")
    after_gap(qtbot)
    press(desk, "s")
    qtbot.waitUntil(lambda: desk.guide.far.text() == "Guide 3 of 5")
    press(desk, "a")
    qtbot.waitUntil(lambda: desk.guide.far.text() == "Guide 4 of 5")
    go(qtbot, desk)
    qtbot.waitUntil(lambda: desk.guide.far.text() == "Guide 5 of 5")
    desk.show_area("Drift")
    assert desk.guide.far.text() == "Guide done"
    chord(desk, Qt.Key.Key_Escape)
    assert not desk.guide.is_on


def test_it_is_offered_once_on_a_machine(qtbot, tmp_path):
    for seen in (False, True):
        bar = GuideBar(Keys(), tmp_path)
        qtbot.addWidget(bar)
        bar.offer("stage")
        assert bar.is_on is not seen
        assert bar.leave() is not seen
        assert (tmp_path / SEEN_FILE).exists()
    bar.begin("stage")
    assert bar.is_on, "asked for, it comes again"


def test_every_guide_can_be_asked_for():
    assert {f"guide.{seat}" for seat in GUIDES} <= set(ACTIONS)


def test_a_show_without_a_wall_says_how_to_make_one_and_shows_nothing_else(qtbot, desk):
    desk.show_area("Wall")
    desk.frame()
    assert desk.store.document.wall is None
    assert "Ctrl+N makes one" in desk.wall.accessibleDescription()
    assert not [w for w in (desk.wall.tabs, desk.wall.screen_, desk.wall.side) if w.isVisible()]
    assert not [w for w in desk.wall.findChildren(QPushButton) if w.isVisible()]
