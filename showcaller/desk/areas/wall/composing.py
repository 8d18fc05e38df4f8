"""Has the picture of what is shown composed, in the px of the widget, whenever it is another."""

from typing import Any

from showcaller.desk.areas.wall.projector import Projector, Shot
from showcaller.desk.areas.wall.state import WallState
from showcaller.model.base import ById

LEAST_PX = 16
"""Nothing is composed for a widget that is smaller: it is not shown yet."""


class Composing:
    """Asks the projector for what the state shows."""

    def __init__(self, state: WallState, projector: Projector) -> None:
        self._state = state
        self._projector = projector
        self._shot: Any = None

    def want(self, width_px: int, height_px: int) -> None:
        """The picture as it is now, so large; only if it is another than the last that was asked for."""
        state, scene, picture = self._state, self._state.scene, self._state.picture
        if scene is None or picture is None or min(width_px, height_px) < LEAST_PX:
            return
        sources = scene.show.sources
        drag = None if state.drag is None else tuple(state.drag.items())
        ahead = repr(state.ahead) if state.ahead else ""
        shot = (ById(scene.looks), scene.at_s, (width_px, height_px), drag, ahead, ById(sources))
        if shot == self._shot and not self._projector.lost:
            return
        if self._shot is None or self._shot[-1] != ById(sources):
            self._projector.take_sources(sources, state.store.folder)
        self._shot = shot
        self._projector.ask(Shot(scene.wall, picture, width_px, height_px, live=scene.moving))
