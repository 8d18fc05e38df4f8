"""A hand on the desk's keys, and what came of it."""

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from showcaller.calling.keys import PRESS_GAP_S


def _hearing(desk):
    """The widget of this window that has the keys; another window may be in front."""
    focus = QApplication.focusWidget()
    return focus if focus is not None and desk.isAncestorOf(focus) else desk


def press(desk, keys):
    for key in keys:
        code = getattr(Qt.Key, f"Key_{key.upper()}")
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            event = QKeyEvent(kind, code, Qt.KeyboardModifier.NoModifier, key)
            QApplication.sendEvent(_hearing(desk), event)


def chord(desk, code, modifiers=Qt.KeyboardModifier.NoModifier):
    """Press and release one key, with others held down."""
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        event = QKeyEvent(kind, code, modifiers, "")
        QApplication.sendEvent(_hearing(desk), event)


def answer(qtbot, desk, text):
    qtbot.keyClicks(desk.prompt._edit, text)
    qtbot.keyClick(desk.prompt._edit, Qt.Key.Key_Return)


def after_gap(qtbot):
    qtbot.wait(int(PRESS_GAP_S * 1000) + 30)


def fired(desk):
    return [e.cue for r in desk.host.book.records for e in r.events if e.kind == "fired"]


def address(receiver):
    return receiver.recv(200).split(b"\0")[0].decode()


def events(desk, kind):
    return [e for r in desk.host.book.records for e in r.events if e.kind == kind]


def go(qtbot, desk):
    """A go that is meant: given again where the desk asks for it again."""
    desk.frame()
    press(desk, "g")
    asked = desk.calls.asked()
    if asked is not None and " again: " in asked.heading:
        after_gap(qtbot)
        press(desk, "g")
