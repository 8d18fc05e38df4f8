"""Pads and faders of the controllers at this desk, on the grid: what comes in acts, lights go back."""

from showcaller.desk.areas.wall.amounts import fields, present
from showcaller.desk.areas.wall.controller import WallController
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.context import DeskContext
from showcaller.desk.pads.bindings import FADERS
from showcaller.desk.pads.control import Control, Heard, Reading
from showcaller.desk.pads.lights import Lit, to_send, wanted
from showcaller.desk.pads.ports import LATE_S, ControllerPorts
from showcaller.desk.pads.takeover import Fader, moved
from showcaller.editing import ChangeError

AGAIN_S = 2.0
"""All lights are told again after so long: one that was missed, or that a pad put out itself, is right."""


class GridPads:
    """``hear`` is called at every frame, whichever area is in front; it never waits for a device."""

    def __init__(self, state: WallState, controller: WallController, around: DeskContext) -> None:
        self._state, self._controller, self._around = state, controller, around
        self._learning = controller.grid.learning
        self.ports = ControllerPorts()
        self._readings: dict[str, Reading] = {}
        self._faders: dict[tuple[str, Control], Fader] = {}
        self._down: set[tuple[str, Control]] = set()
        self._lit: dict[str, tuple[int, Lit, float]] = {}

    @property
    def active(self) -> bool:
        """Whether anything is bound, or being learned."""
        return bool(self._learning.controllers) or self._learning.on

    def hear(self, now_s: float) -> None:
        """Do what pads and faders ask for; have their lights as they should be."""
        learning = self._learning
        self.ports.want(frozenset(learning.controllers), learning.on)
        if learning.on and self.ports.trouble:
            learning.stop(self.ports.trouble)
        faders: dict[tuple[str, Control], list[float]] = {}
        for name, message, came_s in self.ports.heard():
            bound = learning.controllers.get(name)
            alone = () if bound is None else tuple(bound.does)
            heard = self._readings.setdefault(name, Reading()).heard(message, alone)
            if heard is None:
                continue
            if learning.on:
                learning.heard(name, heard)
                continue
            does = None if bound is None else bound.does.get(heard.control)
            if does in FADERS:
                faders.setdefault((name, heard.control), []).append(heard.value)
            elif does is not None and self._pressed(name, heard):
                late = now_s - came_s > LATE_S
                self._controller.attempt(lambda does=does, late=late: self._press(does, late))  # type: ignore[misc]
        for at, path in faders.items():
            does = learning.controllers[at[0]].does[at[1]]
            self._controller.attempt(lambda does=does, at=at, path=path: self._fade(does, at, path))  # type: ignore[misc]
        self._light(now_s)

    def close(self) -> None:
        """Lights out, ports closed."""
        for name, (_, lit, _) in self._lit.items():
            for message in to_send(lit, dict.fromkeys(lit, 0)):
                self.ports.send(name, message)
        self.ports.close()

    def _pressed(self, name: str, heard: Heard) -> bool:
        """Whether a pad has gone down with this. A note is a press by itself, should a release be lost; a
        button that sends values is one press on its way down."""
        at = name, heard.control
        was = at in self._down
        if heard.down:
            self._down.add(at)
        else:
            self._down.discard(at)
        return heard.down and (heard.control.message == "note" or not was)

    def _press(self, does: str, late: bool) -> None:
        if late:
            raise ChangeError(f"{does} was touched while this desk was held up: look, then touch it again")
        grid = self._controller.grid
        word, _, number = does.partition(" ")
        if word == "tile":
            grid.key(int(number) - 1, self._next_held())
        elif does != "next":
            grid.only_director()
            self._controller.perform("take" if does == "take" else "page_on")

    def _next_held(self) -> bool:
        bound = self._learning.controllers
        return any(name in bound and bound[name].does.get(c) == "next" for name, c in self._down)

    def _fade(self, what: str, at: tuple[str, Control], path: list[float]) -> None:
        """A fader went this way since the last frame: all of it may take a value over, its end is played."""
        self._controller.grid.only_director()
        state, scene = self._state, self._state.scene
        if scene is None or not scene.live:
            raise ChangeError("no show is on: a fader plays the wall of a show or a rehearsal")
        _, layer, _ = self._controller.edits.layer.meant()
        number = 0 if scene.on is None else scene.on.number
        about = (what, state.chosen, state.hand.side, number)
        fader, is_at = self._faders.get(at, Fader()), present(layer, what)
        for to in path:
            fader = moved(fader, to, about, is_at)
            is_at = to if fader.held is not None else is_at
        self._faders[at] = fader
        if fader.held is not None:
            state.hand.move(state.chosen or "", fields(layer, what, fader.held))
        else:
            share, at_now = round(is_at * 100), f"the fader is at {path[-1] * 100:.0f} %"
            raise ChangeError(f"{what} is at {share} %, {at_now}: move it past that, and it has it")

    def _light(self, now_s: float) -> None:
        view = self._controller.grid.view
        tiles = view.tiles if view is not None and self._around.seat() == "director" else ()
        on = frozenset(f"tile {t.place + 1}" for t in tiles if t.on)
        coming = frozenset(f"tile {t.place + 1}" for t in tiles if t.next)
        for name, bound in self._learning.controllers.items():
            times = self.ports.opened(name)
            if not times:
                continue
            was, lit, since_s = self._lit.get(name, (0, {}, now_s))
            if was != times:
                self._down = {at for at in self._down if at[0] != name}
            if was != times or now_s - since_s >= AGAIN_S:
                lit, since_s = {}, now_s
            want = wanted(bound, on, coming)
            for message in to_send(lit, want):
                self.ports.send(name, message)
            self._lit[name] = times, want, since_s
