"""What was changed while the show was on, to be put into the book one by one."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from showcaller.archive import TourError
from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing import ChangeError, apply
from showcaller.editing.changes import Change, is_made, is_overtaken
from showcaller.model import Show
from showcaller.run.events import ShowChanged
from showcaller.run.last_edition import TonightChange, changes_in

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour

LOOKED_THROUGH = 20
"""Shows and rehearsals, from the last back."""
IN, CAN, AGAIN = "in the book", "Enter applies it", "changed again below"


class Changes(Page):
    """Those of the show that is on or was on last; Enter applies the chosen one to the book."""

    title = "Changes made in the show"
    widths = (0.08, 0.64, 0.1, 0.18)

    def __init__(
        self,
        found: tuple[TonightChange, ...],
        tour: Tour | None,
        document: Callable[[], Show],
        do: Callable[[str, Change], bool],
    ) -> None:
        super().__init__()
        self._found = found
        self._which = "this show"
        self._document = document
        self._do = do
        self._put: set[int] = set()
        if tour is not None:
            self._read(tour)
        self._states = self._look()
        self.at = next((n for n, state in enumerate(self._states) if state == CAN), 0)

    def _read(self, tour: Tour) -> None:
        """The last run in the tour in which anything was changed."""
        try:
            for run in tour.runs()[: -LOOKED_THROUGH - 1 : -1]:
                if tour.events(run, ShowChanged.kind):
                    self._found = tuple(changes_in(tour.records(run)))
                    self._which = f"{'rehearsal' if run.muted else 'show'} {run.number}"
                    return
        except TourError as error:
            self._which = str(error)

    def _look(self) -> tuple[str, ...]:
        """For each change, whether the book has it, or can have it."""
        show = self._document()
        return tuple(self._state(show, n, made) for n, made in enumerate(self._found))

    def _state(self, show: Show, n: int, made: TonightChange) -> str:
        if any(is_overtaken(made.change, later.change) for later in self._found[n + 1 :]):
            return AGAIN
        if n in self._put or is_made(show, made.change):
            return IN
        try:
            apply(show, made.change)
        except ChangeError as error:
            return f"no longer fits: {error}"
        return CAN

    def lead(self) -> str:
        if not self._found:
            return "Nothing was changed while a show was on."
        left = sum(state == CAN for state in self._states)
        return f"{len(self._found)} made in {self._which}, {left} not in the book."

    def hint(self) -> str:
        undo = self.keys["undo"]
        return f"Enter applies the chosen one to the book · {undo} takes that back · Escape goes back"

    def lines(self) -> tuple[Line, ...]:
        return tuple(
            Line(
                (_clock(made.wall_ns), made.words, made.by, state),
                *(("text", "text") if state == CAN else ("quiet", "quiet")),
            )
            for made, state in zip(self._found, self._states, strict=True)
        )

    def enter(self) -> None:
        if not self._found or self._states[self.at] != CAN:
            return
        made, here = self._found[self.at], self.at
        self._put.add(here)
        if not self._do(f"from the show: {made.words}", made.change):
            self._put.discard(here)
        self.refresh()
        self.at = next((n for n, state in enumerate(self._states) if n > here and state == CAN), here)

    def act(self, name: str) -> bool:
        if name in ("undo", "redo"):
            self._put.clear()
        return False

    def refresh(self) -> None:
        """The book has changed."""
        self._states = self._look()


def _clock(wall_ns: int) -> str:
    return datetime.fromtimestamp(wall_ns / 1e9).astimezone().strftime("%H:%M:%S")
