"""What the window itself can do: areas, seats, profiles of keys, the lock, the page of keys."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Protocol

from showcaller.desk.ask import Ask
from showcaller.desk.callkeys import CallKeys
from showcaller.desk.clocks import Clocks
from showcaller.desk.conflicts import Conflicts
from showcaller.desk.crew_pages import CrewPages
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.header import AREAS
from showcaller.desk.helping import Helped, Helping
from showcaller.desk.keys import KEYS_FILE, KeysError, choose_profile
from showcaller.desk.layout import keep_seat
from showcaller.desk.lock import Lock
from showcaller.desk.machines import Machines
from showcaller.desk.menus import Menus, named_in
from showcaller.desk.opening import Opening
from showcaller.desk.paint.colours import forget_colours
from showcaller.desk.paint.themed import Themed
from showcaller.desk.palette import Palette
from showcaller.desk.person import ask_name, remembered
from showcaller.desk.qt import QApplication
from showcaller.desk.seats import SEATS
from showcaller.desk.sharing import Sharing
from showcaller.desk.theme import NIGHT, USUAL, choose_theme, theme_name


class DeskParts(Helped, Protocol):
    """What the window's own acts ask of it."""

    calls: CallKeys
    clocks: Clocks
    store: DocumentStore
    opening: Opening
    palette_: Palette
    menus: Menus

    @property
    def ask(self) -> Ask:
        """Opens the prompt."""

    def close(self) -> bool:
        """Close the window."""

    def focus_on(self, onward: bool = True) -> None:
        """The keyboard to the next part of what is shown, or to the one before."""


class DeskActs:
    """``table`` gives the acts by their ids; ``settings`` is the folder where choices are remembered."""

    def __init__(self, desk: DeskParts, settings: Path | None) -> None:
        self._desk = desk
        self._settings = settings
        remembered(settings)
        self._menus: Menus | None = None
        self.lock = Lock(lambda: desk.host, desk.ask)
        self.crew = CrewPages(self._runs_and_show, desk.keys, desk.hear)
        self.helping = Helping(desk, self.crew)
        self.machines = Machines(lambda: desk.host.runs, desk.ask, desk.calls.say)
        self.conflicts = Conflicts(
            Sharing(desk.store, lambda: desk.host.runs, lambda: desk.host.me.name, self._say_of_book,
                    desk.keys["conflicts"], self.machines.door_is_back),
            desk.ask, self._say_of_book,
        )  # fmt: skip

    def _say_of_book(self, words: str, tone: str) -> None:
        self._desk.book.said.say(words, tone, keep=tone == "caution")

    def _runs_and_show(self) -> tuple[Path, Path | None]:
        keeper = self._desk.store.keeper
        return self._desk.host.runs, None if keeper is None else keeper.path

    def close(self) -> None:
        """The desk is left: its other windows with it."""
        self._desk.clocks.close()
        self.helping.close()
        self.machines.close()
        self.conflicts.close()
        self.crew.close(on=self._desk.host.session is not None)

    def table(self) -> dict[str, Callable[[], object]]:
        """Every action that is the window's own."""
        desk = self._desk
        return {
            **{name.lower(): partial(desk.show_area, name) for name in AREAS},
            **{f"seat.{name}": partial(self.sit, name) for name in SEATS},
            **{f"guide.{name}": partial(self.helping.guide, name) for name in SEATS},
            "name": partial(ask_name, desk.ask, desk.calls.say, self._settings),
            "clock": desk.clocks.toggle,
            "crew": self.crew.toggle,
            "machines": self.machines.open,
            "conflicts": self.conflicts.open,
            "night": self._night,
            "palette": self._find,
            "menu": self._call_menu,
            "help": self._keys,
            "handbook": self.helping.read,
            "part": desk.focus_on,
            "part_before": partial(desk.focus_on, False),
            "leave": self._leave,
            "quit": desk.close,
            "lock": self.lock.lock,
            "open": self._open,
            "end": desk.opening.end_run,
        }  # fmt: skip

    def _night(self) -> None:
        choose_theme(USUAL if theme_name() != USUAL else NIGHT)
        forget_colours()
        for widget in QApplication.allWidgets():
            if isinstance(widget, Themed):
                widget.restyle()
            widget.update()

    def _find(self) -> None:
        self._desk.palette_.open()  # made after this table

    def _keys(self) -> None:
        self._desk.palette_.open(self._desk.area_name())

    def _call_menu(self) -> None:
        self._desk.menus.call()

    def fill(self, menus: Menus) -> None:
        """The choices that are not in the table: profiles of keys, and which seat is taken."""
        self._menus = menus
        menus.named = lambda name: named_in(self._desk.host.show, name)
        keys = self._desk.keys
        menus.choice("Help", "Keys of", keys.profiles, keys.profile, self._profile)
        self._tick()

    def sit(self, name: str) -> None:
        """Take a seat: its area opens, its keys are live, and it is remembered."""
        self._desk.seat = self._desk.keys.sitting.seat = SEATS[name]
        self._desk.host.me.sits(SEATS[name].name, calls=name == "caller")
        if self._settings is not None:
            keep_seat(self._settings, name)
        self._tick()
        self._desk.calls.forget()
        self._desk.show_area(SEATS[name].opens)

    def _tick(self) -> None:
        if self._menus is not None:
            for name in SEATS:
                self._menus.check(f"seat.{name}", name == self._desk.seat.id)

    def _profile(self, name: str) -> None:
        if self._settings is None:
            return
        try:
            choose_profile(self._settings / KEYS_FILE, name)
        except KeysError as error:
            self._desk.calls.say("keys", str(error))
            return
        self._desk.calls.say("keys", f"The keys of '{name}' are in use when the desk is opened next")

    def _open(self) -> None:
        if self._desk.host.session is None:
            self._desk.show_area("Call")
            self._desk.opening.open_run()

    def _leave(self) -> None:
        front = self._desk.area_name()
        left = self._desk.calls.asked() is None and self.helping.leave()
        left = left or (front == "Book" and self._desk.book.leave())
        left = left or (front == "Call" and self._desk.call.leave())
        left = left or (front == "Wall" and self._desk.wall.leave())
        left = left or (front == "Drift" and self._desk.drift.leave())
        if not left and self._desk.calls.asked() is None:
            left = self._desk.guide.wants_leave()
        if not left:
            self._desk.calls.forget()
