"""The pages over the strip: which is open, what opens it, and its keys."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_config_path

from showcaller.desk.areas.book.outside import Reading
from showcaller.desk.areas.book.pages.page import Page
from showcaller.desk.areas.book.pages.taking_in import TakingIn
from showcaller.desk.context import DeskContext
from showcaller.desk.qt import QFileDialog, QObject, QPointF, QRectF, Qt, QWheelEvent
from showcaller.editing import Change, ChangeError
from showcaller.editing.importing import KINDS, FileError, Understood
from showcaller.model import Song
from showcaller.outside.media import allowed_folders

if TYPE_CHECKING:
    from showcaller.desk.areas.book.area import BookArea


class Pages(QObject):
    """``now`` is the page that is open, if one is."""

    def __init__(self, area: "BookArea", around: DeskContext) -> None:
        super().__init__(area)
        self._area = area
        self._around = around
        self._stack: list[Page] = []
        self.reading = Reading(self, area.say)

    @property
    def now(self) -> Page | None:
        """The page in front."""
        return self._stack[-1] if self._stack else None

    def open(self, page: Page) -> None:
        """Put a page in front."""
        page.keys = self._around.keys
        self._stack.append(page)
        self._area.tell()

    def leave(self) -> None:
        """Back to the page before, or to the song."""
        self._stack.pop().close()
        self._area.tell()

    def refresh(self) -> None:
        """The show changed."""
        if self.now is not None:
            self.now.refresh()

    # Keys and mouse

    def escape(self) -> bool:
        """First ends what is being read, then leaves the page; False if there is neither."""
        if self.reading.stop():
            self._area.say("stopped reading; nothing was changed")
            return True
        if self.now is None:
            return False
        self.leave()
        return True

    def _moved(self, page: Page, name: str) -> bool:
        """Whether it was a step on the page, or Enter."""
        steps = {"item_before": -1, "item_after": 1, "page_up": -10, "page_down": 10}
        if name in steps:
            for _ in range(abs(steps[name])):
                page.walk(1 if steps[name] > 0 else -1)
        elif name == "edit":
            page.enter()
        elif name not in ("next", "cue_before", "cue_after"):
            return False
        return True

    def act(self, name: str) -> bool:
        """One of the book's keys, for the open page first."""
        page = self.now
        if page is None:
            return False
        if self._moved(page, name) or page.act(name):
            self._area.tell()
            return True
        if name in ("import", "export", "editions", "day", "setup", "check", "find"):
            self.clear()
        return False

    def click(self, at: QPointF) -> bool:
        """A click on the open page."""
        if self.now is None or at.x() < 340 * self._area.scale():
            self.clear()
            return False
        if self.now.click(at.y()):
            self.now.enter()
        self._area.tell()
        return True

    def wheel(self, event: QWheelEvent) -> bool:
        """The wheel walks the open page."""
        if self.now is None:
            return False
        for _ in range(3):
            self.now.walk(-1 if event.angleDelta().y() > 0 else 1)
        self._area.tell()
        return True

    def do(self, words: str, change: Change) -> bool:
        """Make a change for a page; False if it was refused, which is said."""
        try:
            self._area.store.do(words, change)
        except ChangeError as error:
            self._area.say(str(error), "caution")
            return False
        self._area.say(words)
        return True

    # What opens pages

    def ask_file(self) -> None:
        """Choose a file to take in. The dialog does not hold up the desk: a run may be on."""
        folder = str(self._area.store.folder or Path.home())
        patterns = " ".join(f"*{kind}" for kind in KINDS.split())
        dialog = QFileDialog(self._area, "Take in a file", folder, f"What can be taken in ({patterns})")
        dialog.setOption(QFileDialog.Option.DontUseNativeDialog)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(lambda name: self.take_in(Path(name)))
        dialog.setWindowModality(Qt.WindowModality.NonModal)
        dialog.show()

    def take_in(self, path: Path) -> None:
        """Look at a file, in a process of its own; what it says opens as a page."""
        from showcaller.editing.importing.taking_in import understand_outside  # noqa: PLC0415 - loaded when it is wanted, not when the window opens

        show, item = self._area.show_now, self._area.chosen.item
        self._area.say(f"reading {path.name} …")
        self.reading.start(
            lambda seen, stop: understand_outside(show, path, item, seen, stop),
            lambda found: self._show_read(path.name, found),
            lambda error: self._not_read(path.name, error),
        )

    def take_reference(self, text: str) -> None:
        """Name the chosen song's reference file; another process reads its length; then both are taken."""
        area, folder, item = self._area, self._area.store.folder, self._area.chosen.item
        if not text:
            area.say(area.acts.no_reference())
            return
        from showcaller.editing.media import length_of  # noqa: PLC0415 - loaded when it is wanted

        allowed = allowed_folders(user_config_path("showcaller"))
        area.say(f"reading {text} …")
        self.reading.start(
            lambda seen, stop: length_of(folder, text, allowed, seen, stop),
            lambda length_s: self._take_reference(item, text, length_s),
            lambda error: area.say(str(error), "caution"),
        )

    def _take_reference(self, item: str, text: str, length_s: Fraction) -> None:
        self._area.attempt(lambda: self._area.acts.take_reference(item, text, length_s))

    def close(self) -> None:
        """End what is being read, and every page."""
        self.reading.close()
        self.clear()

    def clear(self) -> None:
        """Back to the song from every page."""
        while self._stack:
            self._stack.pop().close()

    def _not_read(self, name: str, error: Exception) -> None:
        words = str(error) if isinstance(error, FileError) else f"{name} cannot be read ({error})"
        self._area.say(words, "caution")

    def _show_read(self, name: str, found: tuple[Understood, ...]) -> None:
        self._area.say("")
        self.clear()
        self.open(TakingIn(name, found, self._import))

    def _import(self, found: Understood) -> bool:
        assert found.change is not None
        if not self.do(f"imported {found.title}", found.change):
            return False
        page = self.now
        if isinstance(page, TakingIn) and page.left <= 1:
            self.leave()
        self._area.say(f"imported: {found.summary}; {self._around.keys['undo']} takes it back")
        return True

    def give_out(self) -> None:
        """The exports."""
        from showcaller.desk.areas.book.pages.giving_out import GivingOut  # noqa: PLC0415 - loaded when it is wanted, not when the window opens

        show = self._area.show_now
        item = next(i for i in show.items if i.id == self._area.chosen.item)
        song = item if isinstance(item, Song) else None
        folder = self._area.store.folder
        self.open(GivingOut(show, song, self._around.edition(), folder, self._area.say))

    def editions(self) -> None:
        """The editions in the tour."""
        if self._away():
            return
        from showcaller.desk.areas.book.pages.editions import Editions  # noqa: PLC0415 - loaded when it is wanted, not when the window opens

        def ask_name(done: Callable[[str], str | None]) -> None:
            self._area.ask("Freeze the book as it is, under which name?", done, "for example: after previews")

        area = self._area
        self.open(
            Editions(
                self._around.tour(),
                lambda: area.show_now,
                self.open,
                self.do,
                ask_name,
                area.say,
                self._around.kept,
            )
        )

    def day(self) -> None:
        """The day."""
        if self._away():
            return
        from showcaller.desk.areas.book.pages.day import Day  # noqa: PLC0415 - loaded when it is wanted, not when the window opens

        area, who = self._area, self._around.who()
        self.open(Day(self._around.tour(), lambda: area.show_now, self.do, self._type_line, area.say, who))

    def _away(self) -> bool:
        """Whether the tour is out of reach, which is said."""
        why = self._around.away()
        if why:
            self._area.say(f"editions and the day are kept in the tour, and {why}", "caution")
        return bool(why)

    def _type_line(self, name: str, text: str, commit: Callable[[str], str | None]) -> None:
        page = self.now
        assert page is not None
        k = self._area.scale()
        top = page.row_top(self._area.height() - 120 * k)
        rect = QRectF(352 * k, top, self._area.width() - 380 * k, 34 * k)
        self._area.typing.line(rect, name, text, commit)

    def setup(self) -> None:
        """Departments, outlets, clearances."""
        from showcaller.desk.areas.book.pages.setup import SetUp  # noqa: PLC0415 - as above

        area = self._area
        self.open(SetUp(lambda: area.show_now, self.do, self._type_line))

    def check(self) -> None:
        """The pre-show check."""
        from showcaller.desk.areas.book.pages.check import Check  # noqa: PLC0415 - loaded when it is wanted, not when the window opens

        area = self._area
        self.open(Check(lambda: area.show_now, area.store.folder, self._around.runs, area.tell, area))
