"""The pages over the strip: which is in front, and the keys that walk through it."""

from showcaller.desk.areas.book.pages.page import Page
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QObject, Signal

_STEPS = {"item_before": -1, "item_after": 1, "page_up": -10, "page_down": 10}
_NOTHING = ("next", "cue_before", "cue_after")
"""Keys of the strip that mean nothing on a page."""
_ELSEWHERE = ("import", "export", "editions", "day", "lyrics", "setup", "check", "find")
"""What leaves every page, to open another."""


class PageStack(QObject):
    """``now`` is the page in front; ``changed`` when it is another, or shows something else."""

    changed = Signal()

    def __init__(self, keys: Keys, parent: QObject) -> None:
        super().__init__(parent)
        self._keys = keys
        self._stack: list[Page] = []

    @property
    def now(self) -> Page | None:
        """The page in front."""
        return self._stack[-1] if self._stack else None

    def open(self, page: Page) -> None:
        """Put a page in front."""
        page.keys = self._keys
        self._stack.append(page)
        self.changed.emit()

    def leave(self) -> None:
        """Back to the page before, or to the song."""
        self._stack.pop().close()
        self.changed.emit()

    def clear(self) -> None:
        """Back to the song from every page."""
        if self._stack:
            while self._stack:
                self._stack.pop().close()
            self.changed.emit()

    def refresh(self) -> None:
        """The show changed."""
        if self.now is not None:
            self.now.refresh()
            self.changed.emit()

    def act(self, name: str) -> bool:
        """One of the book's keys, for the open page first; False leaves it to the book."""
        page = self.now
        if page is None:
            return False
        if _moved(page, name) or page.act(name):
            self.changed.emit()
            return True
        if name in _ELSEWHERE:
            self.clear()
        return False

    def take_row(self, row: int) -> None:
        """A click on a row chooses it; on the chosen one it is Enter."""
        page = self.now
        if page is not None:
            if row == page.at:
                page.enter()
            else:
                page.at = row
            self.changed.emit()


def _moved(page: Page, name: str) -> bool:
    """Whether it was a step on the page, or Enter."""
    if name in _STEPS:
        for _ in range(abs(_STEPS[name])):
            page.walk(1 if _STEPS[name] > 0 else -1)
    elif name == "edit":
        page.enter()
    else:
        return name in _NOTHING
    return True
