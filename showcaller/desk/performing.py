"""Doing an action of the table: at the desk, in an area, or on the run that is on."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from showcaller.desk.action import Action
from showcaller.desk.actions import ACTIONS, acts_in, area_of
from showcaller.desk.callkeys import CallKeys
from showcaller.desk.keys import Keys
from showcaller.desk.seats import Seat, is_typed, may_act, refusal

if TYPE_CHECKING:
    from showcaller.desk.areas.book.area import BookArea
    from showcaller.desk.areas.call.area import CallArea
    from showcaller.desk.areas.drift.area import DriftArea
    from showcaller.desk.areas.wall.area import WallArea
    from showcaller.desk.run_controller import RunController


ONCE = ("call.page_tick", "call.page_untick", "call.page_close")
"""Keys of an area that do nothing while they are held down."""

DEAF_S = 1.5
"""After a refused key that would have asked something, what is typed on as if it had is no key of an area."""

TELLS = ("book.changes", "drift.count")
"""Keys of one area that are looked for in the others after a show: there they say where they act."""


class Area(Protocol):
    """What the desk asks of an area."""

    def perform(self, name: str) -> None:
        """Do one of the area's actions, by its id without the area."""

    def leave(self) -> bool:
        """Leave what is open or being done; False if there is nothing of the kind."""


class Desk(Protocol):
    """What doing things asks of the window."""

    seat: Seat
    host: RunController
    call: CallArea
    book: BookArea

    @property
    def wall(self) -> WallArea:
        """The Wall."""

    @property
    def drift(self) -> DriftArea:
        """Drift."""

    def area_name(self) -> str:
        """The area in front."""

    def show_area(self, name: str) -> None:
        """Bring an area to the front."""


class Performer:
    """``own`` are the window's own acts by id; ``covered`` says whether something lies over the
    area in front."""

    def __init__(
        self,
        desk: Desk,
        call_keys: CallKeys,
        keys: Keys,
        own: dict[str, Callable[[], object]],
        covered: Callable[[], bool] = lambda: False,
    ) -> None:
        self._desk = desk
        self._call_keys = call_keys
        self._keys = keys
        self._own = own
        self._covered = covered
        self._deaf_until_s = -1e9
        self.did: set[str] = set()
        """Ids of all that was done at this desk."""

    def do(self, name: str, repeated: bool = False, chord: str = "") -> None:
        """Do an action; ``chord`` is the key it was asked for with, empty for a menu or a button."""
        action, now_s = ACTIONS[name], time.monotonic()
        if chord and is_typed(chord) and now_s < self._deaf_until_s:
            self._deaf_until_s = now_s + DEAF_S
            return
        self.did.add(name)
        if action.of_run:
            self._on_run(action, repeated, chord)
        elif action.where == ("desk",):
            if not repeated:
                self._own[name]()
        elif not (repeated and (action.id in ONCE or action.where == ("Grid",))):
            self._in_area(action, chord)

    def hears(self) -> str:
        """Whose keys are heard: the area in front, or the Wall's grid at the director's seat."""
        front = self._desk.area_name()
        keyed = front == "Wall" and self._desk.seat.id == "director" and self._desk.wall.controller.grid.keyed
        return "Grid" if keyed else front

    def _in_area(self, action: Action, chord: str) -> None:
        front = self._desk.area_name()
        if chord and action.id in TELLS and not acts_in(action, front):
            area = area_of(action)
            words = f"{chord} ({action.word}) acts in {area}: {self._keys[area.lower()]} brings it"
            self._say_here(front, words)
            return
        if not acts_in(action, front) and front != area_of(action):
            front = area_of(action)
            self._desk.show_area(front)
        areas: dict[str, Callable[[], Area]] = {
            "Book": lambda: self._desk.book,
            "Call": lambda: self._desk.call,
            "Wall": lambda: self._desk.wall,
            "Drift": lambda: self._desk.drift,
        }
        areas[front]().perform(action.id.rpartition(".")[2])

    def _on_run(self, action: Action, repeated: bool, chord: str) -> None:
        session, front = self._desk.host.session, self._desk.area_name()
        has_calls = session is not None and session.has_calls
        why = refusal(self._desk.seat, action, chord, front, self._keys["call"], has_calls)
        if why is not None:
            if not repeated and (session is not None or action.id == "open"):
                self._say_here(front, why)
            if not is_typed(chord):
                self._deaf_until_s = time.monotonic() + DEAF_S
        elif action.id in self._own:
            if not repeated:
                self._own[action.id]()
        elif session is None:
            # Of one that is in progress the box says so already, and must not be covered.
            if not repeated and self._desk.host.unfinished.words(self._keys) is None:
                words = f"{self._keys['open']} opens one, or rejoins one in progress"
                if action.id == "fault" and front == "Wall":
                    words = f"a faulty panel is logged in a show or rehearsal; {words} (muted will do)"
                if front == "Wall":  # what is said in Call is not seen from here
                    self._say_here(front, words)
                self._call_keys.say("no show open", words)
        elif action.id == "fault" and front == "Wall" and not repeated and self._desk.wall.fault_key():
            return  # the panel under the mouse
        elif action.id.startswith("clear"):
            self._call_keys.clearance(int(action.id.removeprefix("clear")), session, repeated)
        else:
            if action.id == "pages" and front != "Call":
                self._desk.show_area("Call")
            self._call_keys.act(action.id, session, self._desk.call.view, repeated)

    def _say_here(self, front: str, words: str) -> None:
        """At the area's own foot; the line to call under it stays."""
        desk = self._desk
        if front == "Call":
            self._call_keys.say("not here", words)
        else:
            area = desk.book if front == "Book" else desk.wall if front == "Wall" else desk.drift
            area.said.say(f"not here: {words}", "caution")
            if self._covered():  # its foot is covered
                self._call_keys.say("not here", words)

    def why_not(self, name: str) -> str | None:
        """Why an action cannot be done from a menu now, in words; None if it can."""
        action, session = ACTIONS[name], self._desk.host.session
        has_calls = session is not None and session.has_calls
        if action.of_run and not may_act(self._desk.seat, name, has_calls):
            return f"for the caller's seat, not the {self._desk.seat.name}'s"
        if action.needs == "run" and session is None:
            return "no show is open"
        if action.needs == "no run" and session is not None:
            return "a show is open"
        return None
