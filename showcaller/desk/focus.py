"""Where Tab takes the keyboard: on through the parts of an area, but where Tab is a key of the area."""

from showcaller.desk.qt import QMainWindow, QShowEvent
from showcaller.desk.typed_into import TypedInto

TAB_IS_A_KEY = ("Wall", "Drift")
"""Here Tab turns what is shown; ``focus_on`` goes through the parts with the action's own key."""


class FocusWindow(QMainWindow):
    """``tab_moves`` says whether Tab goes on to the next list, tab or button."""

    tab_moves = True
    typed_into: TypedInto
    """Set before the window is shown."""

    def focusNextPrevChild(self, onward: bool) -> bool:
        if self.typed_into.field() is not None:
            return False  # a field that is open keeps the keys until it is left
        return self.tab_moves and super().focusNextPrevChild(onward)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.setFocus()  # keys are the window's, not the first button's

    def focus_on(self, onward: bool = True) -> None:
        """The keyboard to the next part of what is shown, or to the one before."""
        super().focusNextPrevChild(onward)
