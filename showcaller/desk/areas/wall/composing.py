"""Has the picture of what is shown composed, in the px of the widget, whenever it is another."""

import time
from typing import Any

from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.projector import Projector, Shot
from showcaller.model.base import ById
from showcaller.screen.picture import Picture

LOOK_AGAIN_S = 5.0
"""A picture that stands is made anew this often."""
LEAST_PX = 16
"""Nothing is composed for a widget that is smaller: it is not shown yet."""


def mark_of(scene: Scene) -> tuple[int, bool, str]:
    """What a picture is of: an item of the run, of the plan, or of another edition."""
    return scene.item, scene.live, scene.other


class Composing:
    """Asks the projector for what the state shows."""

    def __init__(self, state: WallState, projector: Projector) -> None:
        self._state = state
        self._projector = projector
        self._shot: Any = None

    def want(self, width_px: int, height_px: int) -> None:
        """The picture as it is now, so large; only if it is another than the last that was asked for."""
        state, scene, picture = self._state, self._state.scene, self._state.picture
        if scene is None or picture is None:
            return
        drag = None if state.drag is None else tuple(state.drag.items())
        ahead = repr(state.hand.ahead) if state.hand.ahead else ""
        again = int(time.monotonic() / LOOK_AGAIN_S)  # files come and go while nothing moves
        what = (ById(scene.spread), ById(scene.looks), scene.at_s, drag, ahead, again)
        self._ask(scene, picture, what, (width_px, height_px))

    def want_next(self, width_px: int, height_px: int) -> None:
        """The same for what is next: a still, made anew where it is another."""
        coming, picture = self._state.hand.next, self._state.next_picture
        if coming is not None and picture is not None:
            self._ask(coming.scene, picture, picture, (width_px, height_px))

    def _ask(self, scene: Scene, picture: Picture, what: Any, size: tuple[int, int]) -> None:
        sources = scene.show.sources
        shot = (what, size, ById(sources))
        if min(size) < LEAST_PX or (shot == self._shot and not self._projector.lost):
            return
        if self._shot is None or self._shot[-1] != ById(sources):
            self._projector.take_sources(sources, self._state.store.folder)
        self._shot = shot
        wall, mark = scene.spread.wall, mark_of(scene)
        self._projector.ask(
            Shot(wall, picture, *size, live=scene.moving, mark=mark, surfaces=scene.show.surfaces)
        )
