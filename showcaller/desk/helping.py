"""What helps at the desk: the handbook, the guides, and the line to call at the foot of its other windows."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from showcaller.calling.caller_view import CallView
from showcaller.desk.actions import ACTIONS
from showcaller.desk.crew_pages import CrewPages
from showcaller.desk.guide import GuideBar
from showcaller.desk.handbook_pages import page_for
from showcaller.desk.keyboard import Keyboard
from showcaller.desk.keys import Keys
from showcaller.desk.palette import Palette
from showcaller.desk.performing import Desk, Performer
from showcaller.desk.qt import QKeyEvent, QRect, QStackedWidget, QWidget

if TYPE_CHECKING:
    from showcaller.desk.handbook import Handbook


class Helped(Desk, Protocol):
    """What helping asks of the window."""

    keys: Keys
    guide: GuideBar
    performer: Performer
    areas: QStackedWidget
    palette_: Palette
    keyboard: Keyboard

    hear: Callable[[QKeyEvent], None]
    """Takes a key that was pressed in another window of the desk."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Takes a key that was pressed in a part of this window."""

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """As for a press."""

    def centralWidget(self) -> QWidget | None:
        """All of the window under its menu."""

    def frameGeometry(self) -> QRect:
        """Where the window is on the screens."""

    def setFocus(self) -> None:
        """The keyboard to the window itself."""


class Helping:
    """``handbook`` is its window once it was opened."""

    def __init__(self, desk: Helped, crew: CrewPages) -> None:
        self._desk, self._crew = desk, crew
        self.handbook: Handbook | None = None

    def read(self) -> None:
        """The handbook, at the page for what is on screen."""
        # Loaded when it is first asked for: what is not on the first screen does not make it later.
        from showcaller.desk.areas.book.pages.setup import SetUp  # noqa: PLC0415
        from showcaller.desk.handbook import Handbook  # noqa: PLC0415

        desk = self._desk
        if self.handbook is None:
            self.handbook = Handbook(desk.keys, self._of_show)
            self.handbook.pressed.connect(self._pressed)
            self.handbook.released.connect(self._released)
        set_up, on = isinstance(desk.book.controller.pages.now, SetUp), desk.host.session is not None
        if not on:
            self.handbook.lie_in(None, QRect(0, 0, 1080, 760))
        elif not self.handbook.isVisible():
            self._lie_in(self.handbook)
        self.handbook.open_at(page_for(desk.area_name(), on, set_up, desk.seat.id))

    def _lie_in(self, book: "Handbook") -> None:
        body = self._desk.centralWidget()
        if body is not None:
            book.lie_in(body, self._under_box())

    def _of_show(self, event: QKeyEvent) -> bool:
        """Whether a key acts on the show that is on."""
        desk = self._desk
        found = desk.keyboard.action(event, desk.performer.hears())
        return desk.host.session is not None and found is not None and ACTIONS[found[0]].of_run

    def _under_box(self) -> QRect:
        """The part of the desk's body where nothing is called or asked."""
        desk = self._desk
        if desk.area_name() == "Call":
            return desk.call.under_box().translated(desk.areas.pos())
        return desk.areas.geometry()

    def free(self) -> QRect | None:
        """Where something may lie while a show is on; None: anywhere, since none is."""
        return self._under_box() if self._desk.host.session is not None else None

    def _pressed(self, event: QKeyEvent) -> None:
        inside = self.handbook is not None and self.handbook.lies_in_desk
        (self._desk.keyPressEvent if inside else self._desk.hear)(event)

    def _released(self, event: QKeyEvent) -> None:
        inside = self.handbook is not None and self.handbook.lies_in_desk
        (self._desk.keyReleaseEvent if inside else self._desk.hear)(event)

    def leave(self) -> bool:
        """Put the handbook away if it lies in the desk; False if it does not."""
        if self.handbook is None or not self.handbook.lies_in_desk:
            return False
        self.handbook.close()
        self._desk.setFocus()
        return True

    @property
    def lies_over(self) -> bool:
        """Whether the handbook lies in the desk."""
        return self.handbook is not None and self.handbook.lies_in_desk

    @property
    def is_typed_in(self) -> bool:
        """Whether letters are typed into a field of what helps."""
        return self.handbook is not None and self.handbook.is_typed_in

    def guide(self, seat: str) -> None:
        """A seat's guide, from its first step."""
        self._desk.performer.did.clear()
        self._desk.guide.begin(seat)

    def show_line(self, view: CallView, since_s: float, asked: tuple[str, str] | None, on: bool) -> None:
        """The line to call now, at the foot of the desk's other windows."""
        self._crew.show_line(view, since_s, asked, on)
        if self._desk.palette_.isVisible():
            self._desk.palette_.place()  # the box has grown by what is said of typing
        book, desk = self.handbook, self._desk
        if book is None:
            return
        # One that was open when the show began, or was moved since, does not stay over the box.
        if (
            on
            and book.isVisible()
            and (book.lies_in_desk or book.frameGeometry().intersects(desk.frameGeometry()))
        ):
            self._lie_in(book)
        book.show_line(view, since_s, asked, on)

    def close(self) -> None:
        """The desk is left."""
        if self.handbook is not None:
            self.handbook.close()
