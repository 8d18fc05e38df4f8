"""The wall played in a show by mouse and keys: on the log, at the devices, on all desks."""

import socket
from pathlib import Path

import pytest
from desk_keys import chord, events
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QKeySequence, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pythonosc.osc_message import OscMessage as Parsed
from wall_desk import at_m, drag, open_live

from showcaller.calling.session import RunSession
from showcaller.desk.actions import ACTIONS
from showcaller.desk.window import DeskWindow
from showcaller.run import commands as c

CTRL, ALT, SHIFT = (
    Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ShiftModifier,
)  # fmt: skip


def put_up(qtbot, desk: DeskWindow, look: str) -> None:
    before = len(desk.host.book.looks)
    assert desk.host.session is not None
    desk.host.session.send(c.PutLook(look=look))
    qtbot.waitUntil(lambda: len(desk.host.book.looks) > before)
    desk.frame()


def heard(qtbot, desk: DeskWindow) -> None:
    """Wait until the log has all that was played."""

    def all_in() -> bool:
        desk.frame()
        return not desk.wall.state.hand.ahead

    qtbot.waitUntil(all_in)


def stands(desk: DeskWindow, key: str = "cam-1"):
    found = desk.wall.state.scene.layer(key)
    assert found is not None
    return found[1]


def wheel(desk: DeskWindow, at: QPointF, notches: int) -> None:
    screen = desk.wall.screen_
    event = QWheelEvent(
        at, screen.mapToGlobal(at), QPoint(), QPoint(0, 120 * notches), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(screen, event)


@pytest.mark.parametrize("muted", [False, True])
def test_a_layer_is_dragged_in_a_show_and_everybody_follows(
    qtbot, desk: DeskWindow, processor: socket.socket, muted: bool
) -> None:
    open_live(qtbot, desk, muted)
    put_up(qtbot, desk, "wide")
    place = desk.host.book.state.place
    other = RunSession(desk.host.session.folder, None, "another", "Other")
    drag(desk, (20, 5), (26.1, 5.9))
    heard(qtbot, desk)
    assert stands(desk).left_m == pytest.approx(21.1, abs=0.1)
    assert stands(desk).bottom_m == pytest.approx(2.9, abs=0.1)
    assert desk.store.show_now.looks[1].layers[1].left_m == 15  # the plan is as it was
    told = events(desk, "layer_played")
    assert (told[-1].item, told[-1].bar, told[-1].layer) == ("gulls", 1, "cam-1")
    assert told[-1].fields["left_m"] == stands(desk).left_m
    qtbot.waitUntil(lambda: other.poll() or len(other.book.records) >= len(desk.host.book.records))
    assert other.book.state.on_wall == desk.host.book.state.on_wall
    other.close()
    assert desk.host.book.state.place == place
    if not muted:
        want = round((stands(desk).left_m - 20) * 100)
        got = [Parsed(processor.recv(2000)) for _ in range(3)]
        while list(got[-1].params) != ["cam-1", want, 1000 - want]:
            got.append(Parsed(processor.recv(2000)))
    else:
        processor.setblocking(False)
        with pytest.raises(BlockingIOError):
            processor.recv(2000)


def test_it_is_faded_tinted_swapped_cropped_taken_out_and_brought_back(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    put_up(qtbot, desk, "wide")
    QTest.mouseClick(desk.wall.screen_, Qt.MouseButton.LeftButton, pos=at_m(desk, 20, 5).toPoint())
    assert desk.wall.state.chosen == "cam-1"
    desk.wall.screen_.hover = at_m(desk, 20, 5)
    wheel(desk, at_m(desk, 20, 5), -2)
    heard(qtbot, desk)
    assert stands(desk).opacity == 0.9
    chord(desk, Qt.Key.Key_PageDown, ALT)
    heard(qtbot, desk)
    assert stands(desk).opacity == 0.85
    for field, text in (
        ("treatments", "tint #102A43 #FFB347"), ("source", "roof"), ("crop", "left 20 %"), ("opacity", "60"),
    ):  # fmt: skip
        desk.wall.controller.open_field(field)
        assert desk.wall.edit.is_open()
        desk.wall.edit._line.setText(text)
        qtbot.keyClick(desk.wall.edit._line, Qt.Key.Key_Return)
        heard(qtbot, desk)
    now = stands(desk)
    assert (now.source, now.crop.left, now.opacity) == ("cam-2", 0.2, 0.6)
    assert now.treatments[0].kind == "tint"
    assert desk.wall.state.view.rows[0].name == "Roof camera"
    chord(desk, Qt.Key.Key_H, CTRL | SHIFT)
    heard(qtbot, desk)
    assert desk.wall.state.scene.is_hidden("cam-1")
    assert "out, by hand" in desk.wall.state.view.rows[0].more
    assert "cam-2" not in desk.wall.state.picture.sources
    chord(desk, Qt.Key.Key_H, CTRL | SHIFT)
    heard(qtbot, desk)
    assert stands(desk).opacity == 0.6
    for _ in range(2):
        chord(desk, Qt.Key.Key_Right, ALT | SHIFT)
    heard(qtbot, desk)
    assert stands(desk).left_m == 16.0
    chord(desk, Qt.Key.Key_Z, CTRL)
    heard(qtbot, desk)
    assert stands(desk).left_m == 15.0
    assert "undone: Roof camera in “Wide”: place" in desk.wall.said.words
    chord(desk, Qt.Key.Key_Delete)  # what makes another look of it is done to the plan
    assert "following the show" in desk.wall.said.words


def test_what_cannot_be_is_said_with_the_field_and_nothing_is_lost(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    put_up(qtbot, desk, "wide")
    desk.wall.state.chosen = "cam-1"
    desk.frame()
    desk.wall.controller.open_field("opacity")
    desk.wall.edit._line.setText("250")
    qtbot.keyClick(desk.wall.edit._line, Qt.Key.Key_Return)
    assert desk.wall.edit.is_open()
    assert desk.wall.said.words == "opacity: type 0 to 100 %, not '250'"
    assert events(desk, "layer_played") == []


def test_a_drag_ends_where_the_next_look_comes(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    put_up(qtbot, desk, "wide")
    screen = desk.wall.screen_
    a = at_m(desk, 20, 5).toPoint()
    QTest.mousePress(screen, Qt.MouseButton.LeftButton, pos=a)
    QTest.mouseMove(screen, a + QPoint(30, 0))
    heard(qtbot, desk)
    put_up(qtbot, desk, "one")  # it has a layer of that name too
    QTest.mouseMove(screen, a + QPoint(60, 0))
    desk.frame()
    assert desk.wall.said.words == "“One face” is on the wall now: the drag ended"
    QTest.mouseRelease(screen, Qt.MouseButton.LeftButton, pos=a + QPoint(60, 0))
    desk.frame()
    assert stands(desk).left_m == 0
    assert desk.host.book.state.on_wall.played == {}
    assert not [r for r in desk.host.book.records if r.events and r.events[0].kind == "refused"]


def test_a_desk_without_the_calls_plays_and_can_do_nothing_else(
    qtbot, desk: DeskWindow, tmp_path: Path
) -> None:
    open_live(qtbot, desk)
    put_up(qtbot, desk, "wide")
    other = RunSession(desk.host.session.folder, None, "another", "Other")
    other.send(c.PlayLayer("cam-1", {"opacity": 0.3}, other.book.state.on_wall.number))
    other.send(c.Hold("x"))
    qtbot.waitUntil(lambda: desk.host.book.refused is not None)
    desk.frame()
    assert stands(desk).opacity == 0.3
    assert desk.host.book.state.phase == "running"
    said, before = desk.host.book.refused, len(desk.host.book.records)
    other.send(c.PlayLayer("cam-1", {"opacity": 0.4}, 99))  # late: refused on the log alone
    other.send(c.PlayLayer("cam-1", {"opacity": 0.5}, other.book.state.on_wall.number))
    qtbot.waitUntil(lambda: len(desk.host.book.records) >= before + 2)
    assert desk.host.book.refused == said  # whoever calls reads on
    other.close()


def test_the_wall_says_how_far_it_is_from_the_plan_and_one_key_goes_back(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    chord(desk, Qt.Key.Key_Home, CTRL)
    assert desk.wall.said.words == "the wall is as planned already; nothing to take back"
    drag(desk, (20, 5), (21, 5))
    heard(qtbot, desk)
    assert "away from the plan: Sea moved (Ctrl+Home goes back)" in desk.wall.state.view.line
    put_up(qtbot, desk, "wide")
    desk.wall.state.hand.play("cam-1", {"opacity": 0.6})
    heard(qtbot, desk)
    assert desk.wall.state.scene.away == "“Wide” instead of “Sea”, Gate camera at 60 %"
    looks = len(desk.host.book.looks)
    chord(desk, Qt.Key.Key_Home, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.looks) > looks)
    desk.frame()
    assert desk.wall.state.scene.away == ""
    assert "away" not in desk.wall.state.view.line
    assert stands(desk, "sea").left_m == 0
    assert desk.wall.state.scene.standing.look.id == "sea"


def test_no_key_of_the_wall_moves_the_show(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    put_up(qtbot, desk, "wide")
    desk.wall.state.chosen = "cam-1"

    def where() -> tuple[object, ...]:
        state = desk.host.book.state
        return state.place, state.item, state.clock_ns, state.phase, state.marks, state.turn, state.unplanned

    before = where()
    for action in ACTIONS.values():
        if "Wall" not in action.where or action.of_run:
            continue
        for chord_ in action.keys:
            combination = QKeySequence(chord_)[0]
            chord(desk, combination.key(), combination.keyboardModifiers())
            desk.frame()
            for _ in range(2):
                chord(desk, Qt.Key.Key_Escape)
    heard(qtbot, desk)
    assert where() == before
    assert {r.input.kind for r in desk.host.book.records} <= {
        "start", "go", "report", "look", "play_layer", "to_plan"
    }  # fmt: skip
