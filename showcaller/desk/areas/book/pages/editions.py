"""Editions kept in the tour: freeze the book as it is, compare with any, bring back any of it."""

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from showcaller.archive import Edition, TourError
from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.changes import Change
from showcaller.editing.comparing import Comparison, compare
from showcaller.model import Show

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour


class Editions(Page):
    """The list; Enter compares the chosen one with the book as it is now."""

    title = "Editions"
    widths = (0.14, 0.46, 0.4)

    def __init__(
        self,
        tour: "Tour",
        show: Callable[[], Show],
        open_page: Callable[[Page], None],
        do: Callable[[str, Change], bool],
        ask_name: Callable[[Callable[[str], str | None]], None],
        say: Callable[[str, str], None],
        kept: Callable[[int, str], None],
    ) -> None:
        super().__init__()
        self._kept = kept
        self._tour = tour
        self._show = show
        self._open = open_page
        self._do = do
        self._ask_name = ask_name
        self._say = say
        self._picked: int | None = None
        self._editions: list[Edition] = []
        self._read()
        self.at = max(0, len(self._editions) - 1)

    def _read(self) -> None:
        try:
            self._editions = self._tour.editions()
        except TourError as error:
            self._say(str(error), "caution")

    def lead(self) -> str:
        if self._picked is not None:
            return f"Edition {self._picked} is picked: Enter on another compares the two."
        return (
            "Every edition that was opened or called is kept. Enter compares one with the book as it is now."
        )

    def hint(self) -> str:
        return (
            f"Enter: compare with now · {self.keys['book.new_cue']}: freeze the book under a name · "
            f"{self.keys['book.copy']}: pick one for comparing"
        )

    def lines(self) -> tuple[Line, ...]:
        return tuple(
            Line((f"edition {e.number}", e.label or e.name, f"{_day(e.created_wall_ns)}"))
            for e in self._editions
        )

    def act(self, name: str) -> bool:
        if name == "new_cue":
            self._ask_name(self._freeze)
        elif name == "copy" and self._editions:
            self._picked = self._editions[self.at].number
        else:
            return False
        return True

    def _freeze(self, name: str) -> str | None:
        try:
            frozen = self._tour.freeze(self._show(), name)
        except TourError as error:
            return str(error)
        self._kept(frozen.edition.number, frozen.edition.digest)
        self._say(frozen.words, "quiet")
        self._read()
        self.at = len(self._editions) - 1
        return None

    def enter(self) -> None:
        if not self._editions:
            return
        edition = self._editions[self.at]
        try:
            old = self._tour.show_of(edition)
            if self._picked is not None and self._picked != edition.number:
                new = self._tour.show_of(self._picked)
                title = f"From edition {edition.number} to edition {self._picked}"
                self._open(Compared(title, lambda: compare(old, new), None))
                self._picked = None
                return
        except TourError as error:
            self._say(str(error), "caution")
            return
        title = f"From edition {edition.number} to the book as it is now"
        self._open(Compared(title, lambda: compare(old, self._show()), self._do))


class Compared(Page):
    """A note to the crew; Enter brings the chosen part back, where one side is the book."""

    widths = (1.0,)

    def __init__(
        self, title: str, look: Callable[[], Comparison], do: Callable[[str, Change], bool] | None
    ) -> None:
        super().__init__()
        self.title = title
        self._look = look
        self._do = do
        self._found = look()

    def lead(self) -> str:
        return self._found.summary

    def hint(self) -> str:
        if self._do is None:
            return "Escape goes back"
        return (
            f"Enter brings back the chosen one as it was then · {self.keys['undo']} undoes that · "
            "Escape goes back"
        )

    def lines(self) -> tuple[Line, ...]:
        found: list[Line] = []
        item: str | None = None
        for note in self._found.notes:
            if note.item != item:
                item = note.item
                found.append(Line((item or "the show",), heading=True))
            found.append(Line((note.words,)))
        for title, words in (
            ("too close together now", self._found.collisions),
            ("no longer too close together", self._found.resolved),
        ):
            if words:
                found.append(Line((title,), heading=True))
                found += [
                    Line((w,), "caution" if title == "too close together now" else "text") for w in words
                ]
        return tuple(found)

    def act(self, name: str) -> bool:
        if name in ("undo", "redo"):
            return False
        return name not in ("import", "export", "editions", "day", "setup", "check", "find")

    def enter(self) -> None:
        lines = self.lines()
        if self._do is None or not lines:
            return
        words = lines[self.at].cells[0]
        note = next((n for n in self._found.notes if n.words == words), None)
        if note is not None and self._do(f"no longer so: {note.words}", note.back):
            self.refresh()

    def refresh(self) -> None:
        """Compare again: the book has changed."""
        self._found = self._look()


def _day(wall_ns: int) -> str:
    return datetime.fromtimestamp(wall_ns / 1e9).astimezone().strftime("%d %b %Y %H:%M")
