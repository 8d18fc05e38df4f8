"""A hand on the wall area of a desk, and a show that is on."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest

from showcaller.desk.window import DeskWindow
from showcaller.run import commands as c
from showcaller.screen.looks import layer_keys


def seek(desk: DeskWindow, at_s: float) -> None:
    desk.wall.controller.transport.seek(at_s)
    desk.frame()


def layer(desk: DeskWindow, key: str = "cam-1"):
    look = next(k for k in desk.store.show_now.looks if k.id == "wide")
    return look.layers[layer_keys(look).index(key)]


def at_m(desk: DeskWindow, x_m: float, y_m: float) -> QPointF:
    screen = desk.wall.screen_
    return QPointF(x_m / 40 * screen.width(), (1 - y_m / 10) * screen.height())


def drag(desk: DeskWindow, start: tuple[float, float], end: tuple[float, float]) -> None:
    screen = desk.wall.screen_
    a, b = at_m(desk, *start).toPoint(), at_m(desk, *end).toPoint()
    QTest.mousePress(screen, Qt.MouseButton.LeftButton, pos=a)
    for n in range(1, 6):
        QTest.mouseMove(screen, a + (b - a) * n / 5)
        desk.frame()
    QTest.mouseRelease(screen, Qt.MouseButton.LeftButton, pos=b)
    desk.frame()


def open_live(qtbot, desk: DeskWindow, muted: bool = False) -> None:
    assert desk.host.open("Ada", muted=muted) is None
    session = desk.host.session
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "running")
    session.send(c.Go(go=session.book.compiled.items[0].go_ids[0]))
    qtbot.waitUntil(lambda: desk.host.book.state.clock_ns is not None)
    desk.frame()
