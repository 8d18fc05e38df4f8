"""Where the rehearsal of an item is: played, stopped, moved along, another item or look; its sound."""

import time
from pathlib import Path

from showcaller.desk.areas.wall.here import complete_s
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.sound import Sound
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.keys import Keys
from showcaller.desk.projector import Projector
from showcaller.desk.said import FootWords
from showcaller.model import Song
from showcaller.timing.timecode import rate_named


class Transport:
    """Moves the rehearsal of the state; a run that is followed it never moves."""

    def __init__(self, state: WallState, said: FootWords, projector: Projector, keys: Keys) -> None:
        self._state = state
        self._said = said
        self._projector = projector
        self._keys = keys
        self._sound = Sound()
        self._rounds = 0

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
            self._state.chosen = None  # it was of the other item's look
            self._sound.stop()
        if looks:
            standing = scene.planned.standing
            n = max(0, min(len(standing) - 1, scene.planned.index_at(scene.at_s) + looks))
            # At rest where all of it is there, so that what is worked on is seen.
            self.seek(standing[n].at_s if rehearsal.playing else complete_s(scene.planned, n))

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

    def frames(self, by: int) -> None:
        """So many frames of the show's timecode rate on, standing still."""
        scene, rehearsal = self._state.scene, self._state.rehearsal
        if scene is None or not self._at_rest(scene):
            return
        if rehearsal.playing:
            self.toggle()
        rate = float(rate_named(scene.show.timecode_rate).fps)
        # From a whole frame to the next: steps add up to what they say.
        self.seek(max(0.0, (round(scene.at_s * rate) + by) / rate))

    def shuttle(self, by: int) -> None:
        """Faster, or slower and then backwards; heard only at its own speed."""
        scene = self._state.scene
        if scene is None or not self._at_rest(scene):
            return
        speed = self._state.rehearsal.shuttle(by, time.monotonic(), scene.planned.length_s)
        words = {0.0: "it stands", 1.0: "at its own speed"}
        self._said.say(words.get(speed, f"shuttle {speed:+g}×"))
        self._hear()

    def loop(self) -> None:
        """Play the section that is shown again and again; again: no more."""
        scene, rehearsal = self._state.scene, self._state.rehearsal
        if scene is None or not self._at_rest(scene):
            return
        now_s = time.monotonic()
        at_s = rehearsal.at_s(now_s, scene.planned.length_s)
        if rehearsal.loop is not None:
            rehearsal.loop = None
            self._said.say("the loop is over")
        else:
            name, rehearsal.loop = section_at(scene, at_s)
            self._said.say(f"loop: {name}")
        rehearsal.seek(at_s, now_s)
        self._hear()

    def _at_rest(self, scene: Scene) -> bool:
        if scene.live:
            key = self._keys["wall.item_after"]
            self._said.say(f"a show is in progress; {key} chooses an item to play on its own")
        return not scene.live

    def toggle(self) -> None:
        """Play the item, or stop."""
        scene = self._state.scene
        if scene is None or not self._at_rest(scene):
            return
        self._state.rehearsal.toggle(time.monotonic(), scene.planned.length_s)
        self._projector.count_anew()
        self._hear()

    def stop_at_end(self) -> None:
        """Stop where the item is over, or going back at its start; the sound goes round with a loop."""
        scene, rehearsal = self._state.scene, self._state.rehearsal
        rounds = rehearsal.rounds(time.monotonic())
        if rounds != self._rounds:
            self._rounds = rounds
            self._hear()
        if scene is None or scene.live or not rehearsal.playing:
            return
        if not scene.moving or (rehearsal.speed < 0 and scene.at_s <= 0):
            rehearsal.playing = False
            rehearsal.seek(scene.at_s, time.monotonic())
            self._sound.stop()

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
        own = rehearsal.playing and rehearsal.speed == 1
        if not own or not isinstance(item, Song) or item.reference is None or folder is None:
            self._sound.stop()
            return
        at_s = rehearsal.at_s(time.monotonic(), float(item.length_s)) + float(item.reference_at_s)
        self._sound.play(Path(folder) / item.reference, at_s)
        if self._sound.trouble:
            self._said.say(self._sound.trouble, "caution")  # in full: beside the counters there is no room


def section_at(scene: Scene, at_s: float) -> tuple[str, tuple[float, float]]:
    """The section of an item at an instant: its name, from when to when; the whole item where it has none."""
    planned = scene.plan.items[scene.item]
    starts = [(0.0, "the beginning")]
    if isinstance(planned.item, Song) and planned.tempo is not None:
        zero = planned.item.downbeat_s
        starts += [(float(planned.tempo.seconds(s.bar) + zero), s.name) for s in planned.item.sections]
    found = sorted(s for s in starts if s[0] <= at_s + 1e-6)[-1]
    after = min((s for s, _ in starts if s > found[0]), default=scene.planned.length_s)
    return (found[1] if len(starts) > 1 else planned.item.name), (found[0], after)
