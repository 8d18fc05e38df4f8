"""Where the rehearsal of an item is: played, stopped, moved along, another item or look; its sound."""

import time
from pathlib import Path

from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.sound import Sound
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.keys import Keys
from showcaller.desk.projector import Projector
from showcaller.desk.said import FootWords
from showcaller.model import Song


class Transport:
    """Moves the rehearsal of the state; a run that is followed it never moves."""

    def __init__(self, state: WallState, said: FootWords, projector: Projector, keys: Keys) -> None:
        self._state = state
        self._said = said
        self._projector = projector
        self._keys = keys
        self._sound = Sound()

    @property
    def trouble(self) -> str:
        """Why what is played is not heard; empty if it is."""
        return self._sound.trouble if self._state.rehearsal.playing else ""

    def step(self, items: int, looks: int) -> None:
        """Another item, so many on, or another look of this one."""
        scene, rehearsal = self._state.scene, self._state.rehearsal
        if scene is None:
            return
        self._leave_run(scene)
        if items:
            ids = [p.item.id for p in scene.plan.items]
            rehearsal.choose(ids[max(0, min(len(ids) - 1, scene.item + items))])
            self._sound.stop()
        if looks:
            standing = scene.planned.standing
            n = max(0, min(len(standing) - 1, scene.planned.index_at(scene.at_s) + looks))
            # Where it has arrived; a hair on, since an instant belongs to what sets out in it.
            self.seek(standing[n].at_s if rehearsal.playing else standing[n].arrived_s)

    def follow(self) -> None:
        """Show what the run has on the wall again; without one, the item's start."""
        state = self._state
        state.follows, state.shows_other = True, False
        state.rehearsal.playing = False
        self._sound.stop()
        state.rehearsal.seek(0.0, time.monotonic())

    def seek(self, at_s: float) -> None:
        """Go to a place of the item."""
        if self._state.scene is not None and self._state.scene.live:
            return
        self._state.rehearsal.seek(at_s, time.monotonic())
        if self._state.rehearsal.playing:
            self._hear()

    def move(self, by_s: float) -> None:
        """So many seconds on."""
        scene = self._state.scene
        self.seek(max(0.0, (scene.at_s if scene is not None else 0.0) + by_s))

    def toggle(self) -> None:
        """Play the item, or stop."""
        scene = self._state.scene
        if scene is None or scene.live:
            key = self._keys["wall.item_after"]
            self._said.say(f"a show is in progress; {key} chooses an item to play on its own")
            return
        self._state.rehearsal.toggle(time.monotonic(), scene.planned.length_s)
        self._projector.count_anew()
        self._hear()

    def stop_at_end(self) -> None:
        """Stop where the item is over."""
        scene = self._state.scene
        if scene is not None and not scene.live and self._state.rehearsal.playing and not scene.moving:
            self.toggle()

    def close(self) -> None:
        """Silence."""
        self._sound.stop()

    def _leave_run(self, scene: Scene) -> None:
        """From now on the plan is shown, at the place where the run is."""
        if scene.live:
            self._state.follows = False
            self._state.rehearsal.choose(scene.plan.items[scene.item].item.id)
            self._state.rehearsal.seek(scene.at_s, time.monotonic())

    def _hear(self) -> None:
        state = self._state
        scene, folder, rehearsal = state.scene, state.store.folder, state.rehearsal
        item = scene.plan.items[scene.item].item if scene is not None else None
        if not rehearsal.playing or not isinstance(item, Song) or item.reference is None or folder is None:
            self._sound.stop()
            return
        at_s = rehearsal.at_s(time.monotonic(), float(item.length_s)) + float(item.reference_at_s)
        self._sound.play(Path(folder) / item.reference, at_s)
