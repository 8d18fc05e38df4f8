"""What was judged and decided is taken back like a change of the book, in the order it was done."""

from collections.abc import Callable

from showcaller.desk.areas.drift.state import DriftState
from showcaller.model import Show
from showcaller.values import Struct


class _Act(Struct, frozen=True):
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

    def is_last(self) -> bool:
        """Whether an act on this run's record was done last, and no change of the book after it."""
        done, store = self._done, self._state.store
        if not done or done[-1].run != self._state.at:
            return False
        return done[-1].changes == store.stack.index() and done[-1].book == store.document

    def undo(self) -> str:
        """Take the last act back, in words; empty if that could not be written, which was said then."""
        act = self._done[-1]
        if not act.back():
            return ""
        self._done.pop()
        return act.words
