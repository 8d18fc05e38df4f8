"""Keys that are pressed in another window of the desk, handed on to it."""

from showcaller.desk.qt import QApplication, QKeyEvent, QWidget


def hand_on(desk: QWidget, event: QKeyEvent) -> None:
    """Let the desk hear a key as if it were pressed in it: what it asks is typed into its question, never
    taken for keys of the show. A question that opens brings the desk to the front."""
    before = desk.focusWidget()
    QApplication.sendEvent(before or desk, event)
    if desk.focusWidget() not in (None, desk, before):
        desk.raise_()
        desk.activateWindow()
