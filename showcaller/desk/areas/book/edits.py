"""What all edits of the book share: the show, what is chosen, and one change at a time through the store."""

from collections.abc import Callable

from showcaller.desk.areas.book.chosen import Chosen
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.keys import Keys
from showcaller.editing import Change, ChangeError
from showcaller.editing.cues import item_at
from showcaller.model import Show
from showcaller.timing.plan import PlannedCue, PlannedItem, compile_item

Check = Callable[[Show, Show], None]


def _anything(_before: Show, _after: Show) -> None:
    """No check."""


class BookEdits:
    """``keys`` are for what an edit says of them."""

    def __init__(self, store: DocumentStore, chosen: Chosen, keys: Keys) -> None:
        self.store = store
        self.chosen = chosen
        self.keys = keys

    @property
    def show(self) -> Show:
        """The show as it is."""
        return self.store.show_now

    def planned(self) -> PlannedItem:
        """The chosen item, compiled."""
        return compile_item(item_at(self.show, self.chosen.item), self.show.timecode_rate)

    def cue(self) -> str:
        """The chosen cue.

        Raises:
            ChangeError: none is.
        """
        if self.chosen.cue is None:
            raise ChangeError("no cue is chosen; left and right choose one")
        return self.chosen.cue

    def planned_cue(self) -> tuple[PlannedItem, PlannedCue]:
        """The chosen item, compiled, and the chosen cue in it.

        Raises:
            ChangeError: none is.
        """
        ident, planned = self.cue(), self.planned()
        found = next((c for c in planned.cues if c.cue.id == ident), None)
        if found is None:
            raise ChangeError("the chosen cue is in another item now; left and right choose one")
        return planned, found

    def do(
        self, words: str, change: Change, join: str = "", check: Check = _anything, choose: str | None = None
    ) -> str:
        """Make a change; its words. The cue to ``choose`` is chosen as the change is told, so that what is
        shown is another once and not twice."""
        was = self.chosen.cue
        if choose is not None:
            self.chosen.cue = choose
        try:
            self.store.do(words, change, join, check)
        except ChangeError:
            self.chosen.cue = was
            raise
        return words
