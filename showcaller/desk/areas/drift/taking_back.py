"""What was judged and decided is taken back like a change of the book, in the order it was done."""

from collections.abc import Callable
from dataclasses import dataclass

from showcaller.desk.areas.drift.state import DriftState
from showcaller.model import Show


@dataclass(frozen=True, slots=True)
class _Act:
    """What was done to which run, after how many changes of the book, and how it is taken back."""

    run: int
    changes: int
    book: Show
    words: str
    back: Callable[[], bool]


class TakingBack:
    """Remembers acts on the record; the book remembers its own changes."""

    def __init__(self, state: DriftState) -> None:
        self._state = state
        self._done: list[_Act] = []

    def remember(self, words: str, back: Callable[[], bool]) -> None:
        """This was done; ``back`` takes it back, False if that cannot be written."""
        store = self._state.store
        self._done.append(_Act(self._state.at, store.stack.index(), store.document, words, back))

    def book_changes(self) -> None:
        """The book is about to be changed: what was done to one that was taken back elsewhere is past."""
        index = self._state.store.stack.index()
        self._done = [act for act in self._done if act.changes <= index]

    def undo(self) -> str | None:
        """Take the last act back, in words; None if a change of the book came after it, or there is none."""
        done, store = self._done, self._state.store
        if not done or done[-1].changes != store.stack.index() or done[-1].book != store.document:
            return None
        act = done.pop()
        return act.words if act.run == self._state.at and act.back() else None
