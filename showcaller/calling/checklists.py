"""Checklists of items: what should have been ticked by now, and has not. Pure."""

from showcaller.run.runbook import RunBook
from showcaller.values import Struct


class Unticked(Struct, frozen=True):
    """A checklist with ``left`` of its ``of`` lines not ticked; ``on``: its item has begun already."""

    id: str
    name: str
    reader: str
    item: str
    left: int
    of: int
    on: bool

    @property
    def words(self) -> str:
        """``Undertow preset (Deck chief), 2 of 5 left``."""
        return f"{self.name} ({self.reader}), {self.left} of {self.of} left"


def next_item(book: RunBook) -> int:
    """The item that begins next; past the last where none does."""
    place = book.state.place
    return place.item if place.go == 0 else place.item + 1


def unticked(book: RunBook, up_to: int | None = None) -> tuple[Unticked, ...]:
    """Checklists of the items up to the one that begins next (or up to another, by its place), in the order
    of their items. One that was closed was closed by somebody: it is done with."""
    last = next_item(book) if up_to is None else up_to
    index, state = book.compiled.item_index, book.state
    found = []
    for page in book.compiled.plan.show.pages:
        i = None if page.item is None else index.get(page.item)
        if page.kind != "checklist" or i is None or i > last or page.id in book.closed_pages:
            continue
        ticks = state.pages[page.id].ticks if page.id in state.pages else {}
        left = len(page.lines) - len(ticks)
        gone = str(page.item) in book.skipped_items or str(page.item) in book.lengths_s
        if left and not gone:
            name = book.compiled.items[i].planned.item.name
            on = str(page.item) in book.started_ns
            found.append((i, Unticked(page.id, page.name, page.reader, name, left, len(page.lines), on)))
    return tuple(one for _, one in sorted(found, key=lambda pair: pair[0]))
