"""Everything that can be written out of the book, each into the folder beside the show."""

from collections.abc import Callable
from pathlib import Path

from showcaller.desk.areas.book.pages.page import Line, Page
from showcaller.editing.exporting.everything import exports
from showcaller.editing.exporting.midi import MidiExportError
from showcaller.model import Show, Song


class GivingOut(Page):
    """The list of exports; Enter writes the one that is chosen."""

    title = "Export"
    widths = (0.4, 0.6)

    def __init__(
        self,
        show: Show,
        song: Song | None,
        edition: str,
        folder: Path | None,
        say: Callable[[str, str], None],
        before: Show | None = None,
    ) -> None:
        super().__init__()
        self._show = show
        self._exports = exports(show, song, edition, before)
        self._folder = folder
        self._say = say
        self._written: set[str] = set()

    def lead(self) -> str:
        if self._folder is None:
            return "Save the show first: it has no folder yet, so nothing can be written."
        return f"Enter writes the chosen one into {self._folder.resolve()}."

    def hint(self) -> str:
        return "Enter writes it; what was there under that name is replaced · Escape goes back"

    def lines(self) -> tuple[Line, ...]:
        return tuple(
            Line((name, f"written · {words}" if name in self._written else words))
            for name, (words, _) in self._exports.items()
        )

    def enter(self) -> None:
        name = list(self._exports)[self.at]
        if self._folder is None:
            return
        try:
            self._exports[name][1](self._show, self._folder / name)
        except (OSError, MidiExportError) as error:
            why = (error.strerror or str(error)).lower() if isinstance(error, OSError) else str(error)
            self._say(f"{name} was not written: {why}", "caution")
            return
        self._written.add(name)
        self._say(f"written: {self._folder.resolve() / name}", "quiet")
