"""Puts the grid in front: what its hand says and the pictures that are made for it, at every frame."""

import time

from showcaller.desk.areas.wall.controller import WallController
from showcaller.desk.areas.wall.grid import GridNow, GridPanel
from showcaller.desk.areas.wall.grid_pads import GridPads
from showcaller.desk.areas.wall.grid_pictures import OLD_S, GridPictures
from showcaller.desk.areas.wall.state import GRID, WallState
from showcaller.desk.context import DeskContext


class GridFront:
    """``show`` is called at every frame; what has not changed is not drawn anew."""

    def __init__(
        self, state: WallState, controller: WallController, panel: GridPanel, around: DeskContext
    ) -> None:
        self._state, self._hand, self._panel = state, controller.grid, panel
        self._controller = controller
        self.pads = GridPads(state, controller, around)
        panel.touched.connect(self._touch)
        panel.turned.connect(self._hand.choose_how)
        panel.paged.connect(lambda: self._hand.turn_page(1))
        self.pictures = GridPictures(lambda: state.store.folder)
        self.pictures.made.connect(panel.update)
        self._shown: GridNow | None = None

    def listen(self, now_s: float) -> None:
        """Hear pads and set their lights."""
        if self._state.panel == GRID or self.pads.active:
            self._hand.look(now_s)
        else:
            self._hand.keyed = False
        self.pads.hear(now_s)

    def show(self, now_s: float) -> None:
        """Show the grid as it is now; have its pictures made while it is seen."""
        self.listen(now_s)
        scene, view = self._state.scene, self._hand.view
        if scene is None or view is None or self._state.panel != GRID:
            return
        self.pictures.want(scene.plan, scene.spread.wall, view, self._panel.tile_px(), now_s)
        learning = self._hand.learning
        age_s = self.pictures.age_s(now_s)
        old = age_s is not None and age_s > OLD_S
        now = GridNow(view, self.pictures.image, self.pictures.shown, old, self._hand.keyed, self._layer(),
                      learning.note, learning.what, learning.pads)  # fmt: skip
        if now != self._shown:
            self._shown = now
            self._panel.show_now(now, scene.spread)

    def _touch(self, place: int, as_next: bool) -> None:
        """A tile was clicked."""
        if self._controller.let_go():
            self._controller.attempt(lambda: self._hand.touch(place, as_next, time.monotonic()))

    def close(self) -> None:
        """Stop making pictures, let go of controllers."""
        self.pads.close()
        self.pictures.close()

    def _layer(self) -> str:
        """Where a source goes."""
        scene = self._state.meant
        found = None if scene is None else scene.layer(self._state.chosen)
        if scene is None or found is None:
            return ""
        name = next((s.name for s in scene.show.sources if s.id == found[1].source), found[1].source)
        side = "of what is next " if self._state.hand.side == "next" else ""
        return f"into the chosen layer {side}where {name} is"
