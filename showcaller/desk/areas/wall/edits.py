"""What all edits of the wall share: what is shown, the layer that is meant, one change at a time."""

from collections.abc import Callable, Mapping
from typing import Any

from showcaller.calling.wording import plural
from showcaller.desk.areas.wall.look_changes import LayerPlace, overriding, uses
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.keys import Keys
from showcaller.editing import Change, ChangeError
from showcaller.model import Layer, LookChange, Source
from showcaller.screen.played import with_played
from showcaller.screen.surfaces import layer_named, split_key

NO_LAYER = "choose a layer first: click it, or {}"


class SharedLookError(ChangeError):
    """A look that is used in several places is about to be changed, and nobody has said whether in all of
    them. ``question`` asks that; ``place`` is where it was asked, the look, the item and its cue; ``instead``
    is what is done where it is to count here only, None for the same on a layer that is otherwise here."""

    def __init__(
        self, question: str, place: tuple[str, str, str], instead: Callable[[], object] | None = None
    ) -> None:
        super().__init__(question)
        self.question = question
        self.place = place
        self.instead = instead


class WallChanges:
    """``keys`` are for what an edit says of them."""

    def __init__(self, state: WallState, keys: Keys) -> None:
        self.state = state
        self.keys = keys

    def scene(self) -> Scene:
        """What is shown, where it may be changed.

        Raises:
            ChangeError: it may not: a run is followed, another edition is shown, there is no wall.
        """
        scene = self.state.scene
        if scene is None:
            raise ChangeError(f"this show has no wall; {self.keys['wall.new_layer']} makes one")
        if scene.live:
            up, down, home = (self.keys[f"wall.{n}"] for n in ("item_before", "item_after", "follow"))
            raise ChangeError(
                f"following the show: {up} and {down} choose an item where that can be edited, "
                f"{home} returns to the show"
            )
        if scene.other:
            raise ChangeError(
                f"{scene.other} is read-only; {self.keys['wall.compare']} goes back to tonight's"
            )
        return scene

    def meant(self) -> tuple[Scene, Layer, Source]:
        """What is shown, the chosen layer and its source, where one may change it: in a run as well.

        Raises:
            ChangeError: none is chosen, or nothing may be changed here.
        """
        scene, shown = self.state.meant, self.state.scene
        if scene is None or shown is None or not shown.live:
            scene, layer, source, _, _ = self.layer()
            return scene, layer, source
        ahead = self.state.hand.ahead if scene is shown else {}
        look = with_played(scene.standing.look, ahead)
        there = layer_named(look, self.state.chosen, scene.wall.id)
        if there is None:
            raise ChangeError(NO_LAYER.format(self.keys["wall.front"]))
        return scene, there, next(s for s in scene.show.sources if s.id == there.source)

    @property
    def in_run(self) -> bool:
        """Whether a run is followed, so that what is done is done to its wall, or to what is next on it."""
        return self.state.scene is not None and self.state.scene.live

    def play(self, fields: Mapping[str, Any]) -> None:
        """In a run: give the chosen layer new values, on the wall or in what is next.

        Raises:
            ChangeError: it cannot be; one sentence.
        """
        self.meant()
        key = self.state.chosen or ""
        if self.state.hand.side == "next":
            self.state.hand.edit(key, fields)
        else:
            self.state.hand.play(key, fields)

    def layer(self) -> tuple[Scene, Layer, Source, LayerPlace, LookChange | None]:
        """What is shown, the chosen layer, its source, its place, and how its look comes if a cue brings it.

        Raises:
            ChangeError: none is chosen, or nothing may be changed here.
        """
        scene = self.scene()
        found = scene.layer(self.state.chosen)
        if found is None or self.state.chosen is None:
            raise ChangeError(NO_LAYER.format(self.keys["wall.front"]))
        now = scene.standing
        item = scene.plan.items[scene.item].item.id
        surface = split_key(self.state.chosen)[1] or None
        place = LayerPlace(item, now.cue, now.look.id, self._key_in_look(scene), surface)
        source = next(s for s in self.state.show_now.sources if s.id == found[1].source)
        return scene, found[1], source, place, now.change if now.cue else None

    def called(self) -> str:
        """The chosen layer by the names people gave: ``Gate camera in “Wide”``."""
        scene, _, source, _, _ = self.layer()
        return f"{source.name} in “{scene.standing.look.name}”"

    def _key_in_look(self, scene: Scene) -> str:
        """What the chosen layer goes by in the look itself, where an override may hide one before it."""
        found = scene.layer(self.state.chosen)
        assert found is not None
        assert self.state.chosen is not None
        layers, chosen = scene.standing.look.layers, split_key(self.state.chosen)[0]
        key = layers[found[0]].key
        shown = [x for x in layers[: found[0]] if x.key == key]
        hidden = any(
            o.hidden and o.surface is None and o.layer == key for o in scene.standing.change.overrides
        )
        return chosen if not hidden or shown else key

    def only_if_meant(
        self, place: LayerPlace, change: LookChange | None, instead: Callable[[], object] | None = None
    ) -> None:
        """Go on where the look is used in this place alone, is otherwise here, or all places are meant. One
        that is only previewed here is used in no place by that.

        Raises:
            SharedLookError: that is to be asked first.
        """
        count, asked = uses(self.state.show_now, place.look), (place.look, place.item, place.cue)
        here = place.cue and change is not None and overriding(change, place.key, place.surface) is not None
        previewed = (place.item, place.cue) in self.state.rehearsal.tried
        if count > (0 if previewed else 1) and (previewed or not here) and asked not in self.state.everywhere:
            name = next(k.name for k in self.state.show_now.looks if k.id == place.look)
            places = plural(count, "place")
            raise SharedLookError(f"“{name}” is used in {places}: all, or here only?", asked, instead)

    def do(self, words: str, change: Change, join: str = "") -> None:
        """Make a change."""
        self.state.store.do(words, change, join)
