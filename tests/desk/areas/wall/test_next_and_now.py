"""What is on and what is next in a show: chosen, edited, said whether it fits, taken by one key."""

import socket

from desk_keys import answer, chord, events
from played import Played
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from pythonosc.osc_message import OscMessage as Parsed
from test_live_hands import ALT, CTRL, SHIFT, put_up, stands
from wall_desk import open_live
from wall_show import wall_show

from showcaller.desk.areas.wall.heads_words import away_line, next_head, on_head
from showcaller.desk.areas.wall.prepared import PreparedLook, next_look
from showcaller.desk.areas.wall.scene import Scenes
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls


def coming(desk: DeskWindow):
    desk.frame()
    found = desk.wall.state.hand.next
    assert found is not None
    return found


def on_next(desk: DeskWindow, x_m: float, y_m: float) -> QPointF:
    screen = desk.wall.next_
    return QPointF(x_m / 40 * screen.width(), (1 - y_m / 10) * screen.height())


def test_the_plans_next_look_is_next_by_default_and_is_taken_early(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    found = coming(desk)
    assert (found.look.id, found.planned, found.change.by, found.change.beats) == ("wide", True, "mix", 8)
    head = next_head(found)
    assert head is not None
    assert head.name == "Wide"
    assert head.more.startswith("mix over 8 beats · planned in 0:1")
    # Sea lies in both alike and is passed on directly; the camera takes two.
    assert head.figure == "fits: 2 of 6 channels"
    place = desk.host.book.state.place
    chord(desk, Qt.Key.Key_G, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.looks) == 2)
    desk.frame()
    event = desk.host.book.looks[-1]
    assert (event.look, event.cue, event.by, event.beats) == ("wide", None, "mix", 8)
    assert "“Wide” is taken: mix over 8 beats" in desk.wall.said.words
    assert desk.host.book.state.place == place  # the plan goes on; its own go will bring it again
    assert on_head(desk.wall.state.scene).more.startswith("since bar 1 · put up by hand · its cue in 0:1")
    assert (coming(desk).look.id, coming(desk).planned) == ("faces", True)  # what is on is not next as well
    assert away_line(desk.wall.state.scene, Keys()) == (
        "away from the plan: “Wide” instead of “Sea” · Ctrl+Home goes back"
    )


def test_another_is_chosen_edited_and_taken_and_nothing_goes_out_before(
    qtbot, desk: DeskWindow, processor: socket.socket
) -> None:
    open_live(qtbot, desk)
    for _ in range(4):
        processor.recv(2000)
    records = len([r for r in desk.host.book.records if r.input.kind != "report"])
    chord(desk, Qt.Key.Key_T, CTRL | SHIFT)
    answer(qtbot, desk, "wide, move 2")
    assert coming(desk).words.startswith("move over 2 beats · by hand")
    screen = desk.wall.next_
    assert screen.isVisible()
    QTest.mouseClick(screen, Qt.MouseButton.LeftButton, pos=on_next(desk, 20, 5).toPoint())
    desk.frame()
    assert (desk.wall.state.hand.side, desk.wall.state.chosen) == ("next", "cam-1")
    a, b = on_next(desk, 20, 5).toPoint(), on_next(desk, 10, 5).toPoint()
    QTest.mousePress(screen, Qt.MouseButton.LeftButton, pos=a)
    for n in range(1, 6):
        QTest.mouseMove(screen, a + (b - a) * n / 5)
        desk.frame()
    QTest.mouseRelease(screen, Qt.MouseButton.LeftButton, pos=b)
    desk.wall.controller.open_field("opacity")
    desk.wall.edit._line.setText("70")
    qtbot.keyClick(desk.wall.edit._line, Qt.Key.Key_Return)
    edited = coming(desk)
    assert abs(edited.look.layers[1].left_m - 5) < 0.5
    assert edited.look.layers[1].opacity == 0.7
    assert [r.name for r in desk.wall.state.view.rows] == ["Gate camera", "Sea"]
    assert len([r for r in desk.host.book.records if r.input.kind != "report"]) == records
    processor.setblocking(False)
    assert events(desk, "layer_played") == []
    chord(desk, Qt.Key.Key_G, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.looks) == 2)
    desk.frame()
    assert stands(desk).opacity == 0.7
    assert stands(desk).left_m == edited.look.layers[1].left_m
    assert desk.host.book.looks[-1].by == "move"
    assert coming(desk).planned
    assert desk.wall.state.hand.side == "on"
    processor.setblocking(True)
    processor.settimeout(5)
    left = round(stands(desk).left_m * 100)
    got = [Parsed(processor.recv(2000)) for _ in range(6)]
    assert next(iter(got[-1].params)) == "cam-1"
    assert any(list(p.params)[1] == left for p in got)


def test_it_says_before_it_is_taken_that_it_does_not_fit(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    put_up(qtbot, desk, "faces")
    desk.wall.state.hand.prepare(PreparedLook("one"))
    assert coming(desk).fit.words == "fits: 4 of 6 channels"
    chord(desk, Qt.Key.Key_B, CTRL)
    answer(qtbot, desk, "mix over 8")
    head = next_head(coming(desk))
    assert head is not None
    assert head.tone == "caution"
    assert head.figure.startswith("two channels short while “Faces” mixes into “One face”")
    chord(desk, Qt.Key.Key_Escape)
    assert coming(desk).planned
    assert desk.wall.said.words == "what the plan has next is next again"


def test_keys_step_through_the_looks_and_act_on_the_side_that_is_meant(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    chord(desk, Qt.Key.Key_PageDown, CTRL)
    assert coming(desk).look.id == "faces"
    chord(desk, Qt.Key.Key_PageUp, CTRL)
    chord(desk, Qt.Key.Key_PageUp, CTRL)
    assert coming(desk).look.id == "sea"
    chord(desk, Qt.Key.Key_G, CTRL | ALT)
    chord(desk, Qt.Key.Key_Up, CTRL)
    chord(desk, Qt.Key.Key_PageDown, Qt.KeyboardModifier.AltModifier)
    assert coming(desk).look.layers[0].opacity == 0.95
    assert desk.host.book.state.on_wall.played == {}
    chord(desk, Qt.Key.Key_H, CTRL | SHIFT)
    assert coming(desk).look.layers[0].opacity == 0
    chord(desk, Qt.Key.Key_H, CTRL | SHIFT)
    assert coming(desk).look.layers[0].opacity == 0.95
    chord(desk, Qt.Key.Key_G, CTRL | ALT)
    assert desk.wall.state.hand.side == "on"


def test_an_edit_of_what_the_plan_has_next_is_kept_when_its_cue_comes(qtbot, desk: DeskWindow) -> None:
    open_live(qtbot, desk)
    desk.wall.state.hand.side = "next"
    desk.wall.state.hand.edit("cam-1", {"opacity": 0.4})
    session = desk.host.session
    session.send(c.Go(go=session.book.compiled.items[0].go_ids[1]))
    qtbot.waitUntil(lambda: len(desk.host.book.looks) == 2)
    found = coming(desk)
    assert (found.look.id, found.look.layers[1].opacity, found.change.beats) == ("wide", 0.4, 8)
    assert desk.host.book.looks[-1].layers[1].get("opacity") is None  # the cue brought it as planned


def test_without_a_show_the_keys_say_so(desk: DeskWindow) -> None:
    desk.frame()
    chord(desk, Qt.Key.Key_G, CTRL)
    assert desk.wall.said.words == "no show is on; Ctrl+T previews a look here"
    assert not desk.wall.next_.isVisible()


def test_next_follows_what_was_given_and_not_the_clock() -> None:
    run = Played(wall_show())

    def next_at(t_s: float) -> tuple[str, str]:
        book = RunBook(run.compiled, compile_show_calls(run.compiled.plan))
        book.take(run.records)
        scene = Scenes().live(book, round(t_s * NS))
        assert scene is not None
        found = next_look(scene, PreparedLook())
        assert found is not None
        return found.look.id, found.when

    assert next_at(0) == ("sea", "planned in 0:00")
    run.go(0)
    assert next_at(5) == ("wide", "planned in 0:11")
    run.go(10)  # six seconds early
    assert next_at(11)[0] not in ("sea", "wide")
    late = next_at(60)
    assert late[0] == next_at(11)[0]
    assert late[1].startswith("planned 0:")
    assert late[1].endswith(" ago")
