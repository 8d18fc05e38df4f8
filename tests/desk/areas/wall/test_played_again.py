"""A show played by hand through a killed engine: its log has the same pictures, pixel by pixel."""

import os
import signal
from random import Random

import pytest
from desk_keys import chord, events
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from test_live_hands import put_up, wheel
from wall_desk import at_m, open_live
from wall_pictures import Afterwards, Composer

from showcaller.desk.window import DeskWindow
from showcaller.engine.launch import engine_lives
from showcaller.engine.runfile import read_run
from showcaller.model import Show
from showcaller.run import commands as c

ALT, CTRL, SHIFT = (
    Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier,
)  # fmt: skip
MOMENTS = 28


class Director:
    """Plays the wall by mouse and keys; keeps (records, instant, digest) of what was on it."""

    def __init__(self, qtbot, desk: DeskWindow, seed: int) -> None:
        self.qtbot, self.desk, self.random = qtbot, desk, Random(seed)
        self.composer = Composer(desk.store.show_now)
        self.kept: list[tuple[int, int, str]] = []

    def moment(self) -> None:
        """The wall as the desk shows it now, once the log has all that was played."""
        desk, state = self.desk, self.desk.wall.state

        def all_in() -> bool:
            desk.frame()
            return not state.hand.ahead

        self.qtbot.waitUntil(all_in)
        book, now_ns = desk.host.book, desk.host.now_ns()
        scene = state._scenes.live(book, now_ns)
        assert scene is not None
        self.kept.append((len(book.records), now_ns, self.composer.digest(scene.picture)))

    def play(self) -> None:
        """One change, any kind."""
        desk, r = self.desk, self.random
        screen = desk.wall.screen_
        layers = desk.wall.state.scene.standing.look.layers
        middle = r.choice(layers)
        at = at_m(desk, middle.left_m + middle.width_m / 2, middle.bottom_m + middle.height_m / 2).toPoint()
        at.setX(min(max(at.x(), 5), screen.width() - 5))
        at.setY(min(max(at.y(), 5), screen.height() - 5))
        QTest.mouseClick(screen, Qt.MouseButton.LeftButton, pos=at)
        match r.randrange(5):
            case 0 | 1:
                to = QPoint(r.randint(10, screen.width() - 10), r.randint(10, screen.height() - 10))
                QTest.mousePress(screen, Qt.MouseButton.LeftButton, pos=at)
                for n in range(1, 9):
                    QTest.mouseMove(screen, at + (to - at) * n / 8)
                    desk.frame()
                QTest.mouseRelease(screen, Qt.MouseButton.LeftButton, pos=to)
            case 2:
                screen.hover = at.toPointF()
                wheel(desk, at.toPointF(), r.choice([-6, -2, 3]))
            case 3:
                chord(desk, Qt.Key.Key_H, CTRL | SHIFT)
            case _:
                desk.wall.controller.open_field("source")
                desk.wall.edit._line.setText(r.choice(["roof", "hand", "words", "sea"]))
                self.qtbot.keyClick(desk.wall.edit._line, Qt.Key.Key_Return)


@pytest.mark.system
@pytest.mark.parametrize("muted", [False, True])
def test_after_a_kill_the_log_has_every_picture_that_was_on_the_wall(
    qtbot, desk: DeskWindow, muted: bool
) -> None:
    open_live(qtbot, desk, muted)
    session = desk.host.session
    assert session is not None
    director = Director(qtbot, desk, seed=7 + muted)
    director.moment()
    for n in range(1, MOMENTS):
        if n % 10 == 4:
            put_up(qtbot, desk, director.random.choice(["wide", "faces", "one"]))
        if n % 20 == 18:
            session.send(c.PutLook("wide", "mix", 2.0))
        if n % 20 == 15:
            chord(desk, Qt.Key.Key_Home, CTRL)
        director.play()
        if n == MOMENTS // 2:
            director.moment()
            before = desk.host.book.state.on_wall
            os.kill(session._client.pid, signal.SIGKILL)
            qtbot.waitUntil(lambda: bool(events(desk, "recovered")), timeout=15_000)
            desk.frame()
            assert desk.host.book.state.on_wall == before
        director.moment()
    desk.host.end()
    qtbot.waitUntil(lambda: not engine_lives(session.folder), timeout=10_000)

    show: Show = desk.store.show_now
    log = Afterwards(show, read_run(session.folder / "journal").records)
    fresh = Composer(show)
    again = [fresh.digest(log.picture(seq, now_ns)) for seq, now_ns, _ in director.kept]
    assert again == [digest for _, _, digest in director.kept]
    assert len(again) >= MOMENTS
    assert len(set(again)) > MOMENTS // 2, "the pictures were not the same one all the time"
    assert len({e.layer for e in events(desk, "layer_played")}) > 1
