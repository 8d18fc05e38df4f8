"""What opens the book's pages, each loaded when it is wanted, not when the window opens."""
# ruff: noqa: PLC0415 - that is what this is for

from collections.abc import Callable

from showcaller.archive import TourError
from showcaller.desk.areas.book.attempts import Attempts
from showcaller.desk.areas.book.page_stack import PageStack
from showcaller.desk.areas.book.page_view import PageView
from showcaller.desk.areas.book.state import BookState
from showcaller.desk.context import DeskContext
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.model import Show, Song


class PageDoors:
    """A line of a page is typed into ``edit``, which lies over its row in ``view``."""

    def __init__(
        self,
        state: BookState,
        said: FootWords,
        attempts: Attempts,
        pages: PageStack,
        view: PageView,
        edit: FieldEdit,
        around: DeskContext,
    ) -> None:
        self._state = state
        self._said = said
        self._attempts = attempts
        self._pages = pages
        self._view = view
        self._edit = edit
        edit.turned.connect(self._turned)
        self._around = around

    def give_out(self) -> None:
        """The exports."""
        from showcaller.desk.areas.book.pages.giving_out import GivingOut

        show = self._state.show_now
        item = next(i for i in show.items if i.id == self._state.chosen.item)
        song = item if isinstance(item, Song) else None
        folder = self._state.store.folder
        edition, before = self._around.edition(), self._last_issue(show)
        self._pages.open(GivingOut(show, song, edition, folder, self._said.say, before))

    def _last_issue(self, show: Show) -> Show | None:
        """The show as it was frozen under a name last, if it is another now; None without a tour."""
        if self._around.away():
            return None
        try:
            tour = self._around.tour()
            named = [e for e in tour.editions() if e.names]
            found = tour.show_of(named[-1]) if named else None
        except TourError:
            return None
        return None if found == show else found

    def editions(self) -> None:
        """The editions in the tour."""
        if self._away():
            return
        from showcaller.desk.areas.book.pages.editions import Editions

        def ask_name(done: Callable[[str], str | None]) -> None:
            self._around.ask(
                "Freeze the book as it is, under which name?", done, "for example: after previews"
            )

        self._pages.open(
            Editions(
                self._around.tour(),
                lambda: self._state.show_now,
                self._pages.open,
                self._attempts.change,
                ask_name,
                self._said.say,
                self._around.kept,
                self._state.store.folder,
            )
        )

    def day(self) -> None:
        """The day."""
        if self._away():
            return
        from showcaller.desk.areas.book.pages.day import Day

        self._pages.open(
            Day(
                self._around.tour(),
                lambda: self._state.show_now,
                self._attempts.change,
                self._type_line,
                self._said.say,
                self._around.who(),
            )
        )

    def setup(self) -> None:
        """Departments, outlets, clearances."""
        from showcaller.desk.areas.book.pages.setup import SetUp

        self._pages.open(SetUp(lambda: self._state.show_now, self._attempts.change, self._type_line))

    def rehearsed(self) -> None:
        """Which cues have never been run."""
        if self._away():
            return
        from showcaller.desk.areas.book.pages.rehearsed import Rehearsed

        def go(item: str, cue: str) -> None:
            self._pages.leave()
            self._state.go_to(item, cue)

        self._pages.open(Rehearsed(self._around.tour(), lambda: self._state.show_now, self._said.say, go))

    def people(self) -> None:
        """Who is called when, and who is there."""
        if self._away():
            return
        from showcaller.desk.areas.book.pages.people import People

        around, change = self._around, self._attempts.change
        show = lambda: self._state.show_now  # noqa: E731 - as the other pages have it
        self._pages.open(People(around.tour(), show, change, self._type_line, self._said.say, around.who()))

    def venues(self) -> None:
        """Places of the tour, and which one is tonight."""
        from showcaller.desk.areas.book.pages.venues import Venues

        show, change = (lambda: self._state.show_now), self._attempts.change
        self._pages.open(Venues(show, change, self._type_line, self._said.say))

    def lyrics(self) -> None:
        """The chosen song's words."""
        from showcaller.desk.areas.book.pages.lyrics import Lyrics

        state, change = self._state, self._attempts.change
        try:
            page = Lyrics(state.chosen.item, lambda: state.show_now, change, self._type_line, self._said.say)
        except ChangeError as error:
            self._said.say(str(error), "caution")
            return
        self._pages.open(page)

    def check(self) -> None:
        """The pre-show check."""
        from showcaller.desk.areas.book.pages.check import Check

        folder = self._state.store.folder
        self._pages.open(
            Check(
                lambda: self._state.show_now, folder, self._around.runs, self._pages.changed.emit, self._view
            )
        )

    def changes(self) -> None:
        """What was changed while the show was on."""
        from showcaller.desk.areas.book.pages.changes import Changes

        around, state = self._around, self._state
        found = around.changes()
        away = around.away()
        self._pages.open(
            Changes(
                found,
                None if found or away else around.tour(),
                lambda: state.store.document,
                self._attempts.change_document,
            )
        )

    def _away(self) -> bool:
        """Whether the tour is out of reach, which is said."""
        why = self._around.away()
        if why:
            self._said.say(f"editions and the day sheet are kept in the tour, and {why}", "caution")
        return bool(why)

    def _turned(self) -> None:
        page = self._pages.now
        if page is not None and not self._edit.is_open():
            page.typing_over()
            self._view.show_way()

    def _type_line(
        self,
        name: str,
        text: str,
        commit: Callable[[str], str | None],
        live: Callable[[str], str] | None = None,
    ) -> None:
        def said(typed: str) -> str:
            words = name if live is None else live(typed)
            self._view.show_way()
            return words

        self._edit.open(self._view.row_box(), name, text, commit, lambda _: None, said)
