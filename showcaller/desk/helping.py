"""What helps at the desk: the handbook, the guides, and the line to call at the foot of its other windows."""

from collections.abc import Callable
from typing import Protocol

from showcaller.calling.caller_view import CallView
from showcaller.desk.areas.book.pages.setup import SetUp
from showcaller.desk.crew_pages import CrewPages
from showcaller.desk.guide import GuideBar
from showcaller.desk.handbook import Handbook
from showcaller.desk.handbook_pages import page_for
from showcaller.desk.keys import Keys
from showcaller.desk.performing import Desk, Performer
from showcaller.desk.qt import QKeyEvent


class Helped(Desk, Protocol):
    """What helping asks of the window."""

    keys: Keys
    guide: GuideBar
    performer: Performer

    hear: Callable[[QKeyEvent], None]
    """Takes a key that was pressed in another window of the desk."""


class Helping:
    """``handbook`` is its window once it was opened."""

    def __init__(self, desk: Helped, crew: CrewPages) -> None:
        self._desk, self._crew = desk, crew
        self.handbook: Handbook | None = None

    def read(self) -> None:
        """The handbook, at the page for what is on screen."""
        desk = self._desk
        if self.handbook is None:
            self.handbook = Handbook(desk.keys)
            self.handbook.pressed.connect(desk.hear)
            self.handbook.released.connect(desk.hear)
        set_up = isinstance(desk.book.controller.pages.now, SetUp)
        self.handbook.open_at(page_for(desk.area_name(), desk.host.session is not None, set_up))

    def guide(self, seat: str) -> None:
        """A seat's guide, from its first step."""
        self._desk.performer.did.clear()
        self._desk.guide.begin(seat)

    def show_line(self, view: CallView, since_s: float, asked: tuple[str, str] | None, on: bool) -> None:
        """The line to call now, at the foot of the desk's other windows."""
        self._crew.show_line(view, since_s, asked, on)
        if self.handbook is not None:
            self.handbook.show_line(view, since_s, asked, on)

    def close(self) -> None:
        """The desk is left."""
        if self.handbook is not None:
            self.handbook.close()
