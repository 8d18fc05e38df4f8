"""The show being edited: changes made one by one, each undoable, each kept on disk as it is made.

While a show is on, changes may go to that instead (:mod:`showcaller.desk.tonight`); the document stays as it
is until somebody puts them into it.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from showcaller.desk.qt import QObject, QUndoCommand, QUndoStack, Signal
from showcaller.desk.tonight import Check, ShowTonight
from showcaller.editing import Change, ChangeError, SetFields, apply
from showcaller.editing.history import Step, load_history, save_history
from showcaller.editing.keeping import Keeper
from showcaller.model import Show

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession

JOIN_S = 1.0
"""Changes of the same thing this soon after each other are one step of undo."""


class Shared(Protocol):
    """The book as other machines have it too."""

    @property
    def heard(self) -> int:
        """How many changes of others were heard so far."""

    def why_not(self) -> str:
        """Why nobody at this desk may change it; empty if they may."""

    def made(self, words: str, change: Change, led: tuple[Show, Change]) -> None:
        """A change was made here, and undone or made again; ``led`` is what it led to, and what takes it
        back."""

    def others(self, change: Change, since: int) -> str:
        """Who else has been at the place of a change since so many were heard; empty if nobody."""


class DocumentStore(QObject):
    """Holds the show. ``changed`` is told after every change, undo and redo of what is shown,
    ``document_changed`` of the document.

    Without a ``keeper`` (a rehearsal of the window, a picture) the changes live in memory only.
    """

    changed = Signal()
    document_changed = Signal()

    def __init__(self, show: Show, keeper: Keeper | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = show
        self.tonight: ShowTonight | None = None
        self.keeper = keeper
        self.share: Shared | None = None
        self.stack = QUndoStack(self)
        # What was brought in from a log is ahead of the document that the history belongs to.
        if keeper is not None and not keeper.recovered and not keeper.read_only:
            for step in load_history(keeper.path):
                self.stack.push(_Step(self, step.words, step.change, step.inverse, ""))

    @property
    def show_now(self) -> Show:
        """What is shown and changed: the document, or the show that is on."""
        return self.document if self.tonight is None else self.tonight.show

    def change_tonight(self, session: RunSession | None) -> None:
        """From now on changes go to the show that is on; without a session to the document again."""
        before = self.show_now
        self.tonight = None if session is None else ShowTonight(session)
        if self.show_now is not before:
            self.changed.emit()

    def look(self) -> str | None:
        """Follow the show that is on; why the engine refused a change, if it did."""
        if self.tonight is None:
            return None
        another, refused = self.tonight.look()
        if another:
            self.changed.emit()
        return refused

    @property
    def read_only(self) -> str | None:
        """Why nothing can be changed here, if so."""
        return self.keeper.said if self.keeper is not None and self.keeper.read_only else None

    @property
    def folder(self) -> Path | None:
        """Where the document lies, for files named relative to it."""
        return None if self.keeper is None else self.keeper.path.parent

    def do(
        self,
        words: str,
        change: Change,
        join: str = "",
        check: Check = lambda _before, _after: None,
    ) -> None:
        """Make a change. ``words`` name it for undo; quick changes with the same ``join`` are undone as one.

        ``check`` is given the show before and after, and may refuse what it leads to.

        Raises:
            ChangeError: it cannot be made, or ``check`` refused; nothing changed.
        """
        if self.tonight is not None:
            self.tonight.do(words, change, check)
            self.changed.emit()
            return
        self.do_document(words, change, join, check)

    def do_document(
        self, words: str, change: Change, join: str = "", check: Check = lambda _before, _after: None
    ) -> None:
        """The same, always of the document.

        Raises:
            ChangeError: it cannot be made, or ``check`` refused; nothing changed.
        """
        if self.read_only is not None:
            raise ChangeError(self.read_only)
        if self.share is not None and (why := self.share.why_not()):
            raise ChangeError(why)
        changed, inverse = apply(self.document, change)
        check(self.document, changed)
        self._take(words, change, inverse, changed)
        self.stack.push(_Step(self, words, change, inverse, join))

    def undo(self) -> str | None:
        """Take the last change back; what it was, or None if there is none.

        Raises:
            ChangeError: one of the show that is on, which cannot be taken back any more.
        """
        if self.tonight is not None:
            words = self.tonight.undo()
            self.changed.emit()
            return words
        words = self.stack.undoText()
        if not self.stack.canUndo():
            return None
        _go(self, self.stack.index() - 1, self.stack.undo)
        return words

    def redo(self) -> str | None:
        """Make again what was taken back; what it was, or None.

        Raises:
            ChangeError: it cannot be made any more, of the show that is on.
        """
        if self.tonight is not None:
            words = self.tonight.redo()
            self.changed.emit()
            return words
        words = self.stack.redoText()
        if not self.stack.canRedo():
            return None
        _go(self, self.stack.index(), self.stack.redo)
        return words

    def close(self) -> None:
        """Write what is not written, with the steps that led there, and let go of the document."""
        if self.keeper is None:
            return
        self.keeper.close()
        if self.keeper.read_only or self.keeper.trouble is not None:
            return
        steps = [self.stack.command(n) for n in range(self.stack.index())]
        with contextlib.suppress(OSError):  # a full disk only means that nothing can be undone the next time
            save_history(self.keeper.path, [step.as_step() for step in steps if isinstance(step, _Step)])

    def replay(self, words: str, change: Change) -> None:
        """Apply a change that was made before (for undo and redo)."""
        changed, inverse = apply(self.document, change)
        self._take(words, change, inverse, changed)

    def theirs(self, show: Show, change: Change | None) -> None:
        """The document as others have changed it, by one ``change`` if that is known. It is no step of undo
        here."""
        if self.keeper is not None and change is not None:
            self.keeper.record(change, show)
        elif self.keeper is not None:
            self.keeper.replace(show)
        self._show(show)

    def _take(self, words: str, change: Change, inverse: Change, changed: Show) -> None:
        # On disk first: what a person has seen must not be lost.
        if self.keeper is not None:
            self.keeper.record(change, changed)
        if self.share is not None:
            self.share.made(words, change, (changed, inverse))
        self._show(changed)

    def _show(self, changed: Show) -> None:
        self.document = changed
        self.document_changed.emit()
        if self.tonight is None:
            self.changed.emit()


class _Step(QUndoCommand):
    """One step of undo."""

    def __init__(self, book: DocumentStore, words: str, change: Change, inverse: Change, join: str) -> None:
        super().__init__(words)
        self._book = book
        self._change = change
        self._inverse = inverse
        self._join = join
        self._at_s = time.monotonic()
        self._made = True
        self._heard()

    def _heard(self) -> None:
        share = self._book.share
        self._since = 0 if share is None else share.heard

    def others(self, share: Shared) -> str:
        """Who else has been at the same place since."""
        return share.others(self._change, self._since)

    def as_step(self) -> Step:
        """As the history keeps it."""
        return Step(self.text(), self._change, self._inverse)

    def redo(self) -> None:
        if self._made:  # pushing a command redoes it, and it was made already
            self._made = False
        elif not self.isObsolete():
            self._heard()
            self._book.replay(f"again: {self.text()}", self._change)

    def undo(self) -> None:
        if not self.isObsolete():
            self._heard()
            self._book.replay(f"undone: {self.text()}", self._inverse)

    def id(self) -> int:
        return hash(self._join) & 0x7FFFFFFF if self._join else -1

    def mergeWith(self, other: QUndoCommand) -> bool:
        if not isinstance(other, _Step) or other._join != self._join or other._at_s - self._at_s > JOIN_S:
            return False
        mine, theirs = self._change, other._change
        if not (isinstance(mine, SetFields) and isinstance(theirs, SetFields)):
            return False
        if mine.at != theirs.at or mine.fields.keys() != theirs.fields.keys():
            return False
        # The first inverse leads back to before the first change, since both set the same fields.
        self._change, self._at_s, self._since = theirs, other._at_s, other._since
        self.setText(other.text())  # its words say where to
        return True


def _go(store: DocumentStore, index: int, go: Callable[[], None]) -> None:
    """Take a step that nobody else has been at since; one that somebody has is passed over, and named."""
    step = store.stack.command(index)
    others = "" if store.share is None or not isinstance(step, _Step) else step.others(store.share)
    if others:
        step.setObsolete(True)
    go()
    if others:
        raise ChangeError(f"{others}; that stays, and this step is passed over")
