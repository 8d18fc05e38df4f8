"""Editions kept in the tour: freeze the book as it is, compare with any, bring back any of it."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.archive import Edition, TourError
from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.changes import Change
from showcaller.editing.comparing import Comparison, compare
from showcaller.editing.naming import slug
from showcaller.model import Show
from showcaller.model.whole import whole

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
        folder: Path | None,
    ) -> None:
        super().__init__()
        self._kept = kept
        self._folder = folder
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
                picked = next(e for e in self._editions if e.number == self._picked)
                title = f"From {_called(edition)} to {_called(picked)}"
                self._open(Compared(title, lambda: compare(old, new), None, self._write(new)))
                self._picked = None
                return
        except TourError as error:
            self._say(str(error), "caution")
            return
        title = f"From {_called(edition)} to the book as it is now"
        look, write = (lambda: compare(old, self._show())), self._write(self._show())
        self._open(Compared(title, look, self._do, write))

    def _write(self, show: Show) -> Callable[[str, Comparison], None]:
        """What prints a comparison: the note to the crew, into the folder of the show."""

        def write(title: str, found: Comparison) -> None:
            from showcaller.editing.exporting.crew_note import crew_note  # noqa: PLC0415 - when it is wanted
            from showcaller.editing.exporting.everything import now_words  # noqa: PLC0415 - as above

            if self._folder is None:
                self._say("save the show first: it has no folder yet, so nothing can be written", "caution")
                return
            path = self._folder / f"{slug(show.name)}-note-{slug(title)}.pdf"
            data = crew_note(show, title, found, now_words(show))
            try:
                whole(path, lambda where: where.write_bytes(data))
            except OSError as error:
                self._say(f"{path.name} was not written: {(error.strerror or str(error)).lower()}", "caution")
                return
            self._say(f"written: {path}", "quiet")

        return write


class Compared(Page):
    """A note to the crew; Enter brings the chosen part back, where one side is the book."""

    widths = (1.0,)

    def __init__(
        self,
        title: str,
        look: Callable[[], Comparison],
        do: Callable[[str, Change], bool] | None,
        write: Callable[[str, Comparison], None],
    ) -> None:
        super().__init__()
        self.title = title
        self._write = write
        self._look = look
        self._do = do
        self._found = look()

    def lead(self) -> str:
        return self._found.summary

    def hint(self) -> str:
        printed = f"{self.keys['book.export']} prints it, a note to the crew · Escape goes back"
        if self._do is None:
            return printed
        return (
            f"Enter brings back the chosen one as it was then · {self.keys['undo']} undoes that · {printed}"
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
        if name == "export":
            self._write(self.title, self._found)
            return True
        return name not in ("import", "editions", "day", "setup", "check", "find")

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


def _called(edition: Edition) -> str:
    """``edition 14 (after previews)``."""
    return f"edition {edition.number}" + (f" ({edition.label})" if edition.label else "")


def _day(wall_ns: int) -> str:
    return datetime.fromtimestamp(wall_ns / 1e9).astimezone().strftime("%d %b %Y %H:%M")
