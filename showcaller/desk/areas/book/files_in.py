"""Files taken into the book: chosen, read by a process of its own, and what comes of it."""

from pathlib import Path

from platformdirs import user_config_path

from showcaller.desk.areas.book.attempts import Attempts
from showcaller.desk.areas.book.item_edits import ItemEdits
from showcaller.desk.areas.book.outside import Reading
from showcaller.desk.areas.book.page_stack import PageStack
from showcaller.desk.areas.book.pages.taking_in import TakingIn
from showcaller.desk.areas.book.state import BookState
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QFileDialog, Qt, QWidget
from showcaller.desk.said import FootWords
from showcaller.editing.importing import KINDS, FileError, Understood
from showcaller.outside.media import allowed_folders


class FilesIn:
    """Spreadsheets, MIDI files, timelines and references; ``parent`` is what the dialog lies over."""

    def __init__(
        self,
        state: BookState,
        said: FootWords,
        attempts: Attempts,
        items: ItemEdits,
        pages: PageStack,
        keys: Keys,
        parent: QWidget,
    ) -> None:
        self._state = state
        self._said = said
        self._attempts = attempts
        self._items = items
        self._pages = pages
        self._keys = keys
        self._parent = parent
        self.reading = Reading(parent, said.say)

    def stop(self) -> bool:
        """End what is being read; False if nothing is."""
        if not self.reading.stop():
            return False
        self._said.say("stopped; nothing was changed")
        return True

    def close(self) -> None:
        """End it, and read nothing more."""
        self.reading.close()

    def ask_file(self) -> None:
        """Choose a file to take in. The dialog does not hold up the desk: a run may be on."""
        folder = str(self._state.store.folder or Path.home())
        patterns = " ".join(f"*{kind}" for kind in KINDS.split())
        dialog = QFileDialog(self._parent, "Import a file", folder, f"What can be imported ({patterns})")
        dialog.setOption(QFileDialog.Option.DontUseNativeDialog)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(lambda name: self.take_in(Path(name)))
        dialog.setWindowModality(Qt.WindowModality.NonModal)
        dialog.show()

    def take_in(self, path: Path) -> None:
        """Look at a file, in a process of its own; what it says opens as a page."""
        from showcaller.editing.importing.taking_in import understand_outside  # noqa: PLC0415 - loaded when it is wanted, not when the window opens

        show, item = self._state.show_now, self._state.chosen.item
        self._said.say(f"reading {path.name} …")
        self.reading.start(
            lambda seen, stop: understand_outside(show, path, item, seen, stop),
            lambda found: self._show_read(path.name, found),
            lambda error: self._not_read(path.name, error),
        )

    def take_reference(self, text: str) -> None:
        """Name the chosen song's reference file; another process reads its length; then both are taken."""
        folder, item = self._state.store.folder, self._state.chosen.item
        if not text:
            self._said.say(self._items.no_reference())
            return
        from showcaller.editing.media import length_of  # noqa: PLC0415 - loaded when it is wanted

        allowed = allowed_folders(user_config_path("showcaller"))
        self._said.say(f"reading {text} …")
        self.reading.start(
            lambda seen, stop: length_of(folder, text, allowed, seen, stop),
            lambda length_s: self._attempts.attempt(lambda: self._items.take_reference(item, text, length_s)),
            lambda error: self._said.say(str(error), "caution"),
        )

    def _not_read(self, name: str, error: Exception) -> None:
        words = str(error) if isinstance(error, FileError) else f"{name} cannot be read ({error})"
        self._said.say(words, "caution")

    def _show_read(self, name: str, found: tuple[Understood, ...]) -> None:
        self._said.say("")
        self._pages.clear()
        self._pages.open(TakingIn(name, found, self._import))

    def _import(self, found: Understood) -> bool:
        assert found.change is not None
        if not self._attempts.change(f"imported {found.title}", found.change):
            return False
        page = self._pages.now
        if isinstance(page, TakingIn) and page.left <= 1:
            self._pages.leave()
        self._said.say(f"imported: {found.summary}; {self._keys['undo']} undoes it")
        return True
