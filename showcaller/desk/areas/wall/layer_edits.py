"""What is done to the chosen layer: each is one change of the show, or a sentence why not."""

from collections.abc import Mapping
from typing import Any

from showcaller.desk.areas.wall import look_changes as changes
from showcaller.desk.areas.wall.covering import covered, part_named
from showcaller.desk.areas.wall.edits import WallChanges
from showcaller.desk.areas.wall.grips import NUDGE_M, Box, box_of, fitted, input_box, placed
from showcaller.desk.areas.wall.layer_fields import layer_edit
from showcaller.desk.areas.wall.named import found
from showcaller.editing import ChangeError
from showcaller.screen.costs import unmatched
from showcaller.screen.geometry import input_rect, layer_rect
from showcaller.screen.surfaces import place_key, split_key
from showcaller.values import replace

FADE_STEP = 0.05
"""One press, or one notch of the wheel."""


_PLAYED_WORDS = {
    "left_m": "place", "bottom_m": "place", "width_m": "size", "height_m": "size", "treatments": "treatment",
    "hidden": "on the wall or not",
}  # fmt: skip


def played_words(fields: Mapping[str, Any]) -> str:
    """What a hand changed, in words: ``place, size``."""
    return ", ".join(dict.fromkeys(_PLAYED_WORDS.get(name, name) for name in fields))


class LayerEdits(WallChanges):
    """A refusal is a ChangeError."""

    def set_layer(self, words: str, fields: Mapping[str, Any], join: str = "") -> None:
        """Give the chosen layer new values: in the look, or in a run in what stands on the wall."""
        _, layer, _ = self.meant()
        if self.in_run:
            self.play(fields)
            return
        if "source" in fields and (layer.id is None or split_key(layer.id)[1]):
            # It keeps its name, by which a place of the show may have it otherwise.
            name, surface = split_key(self.state.chosen or layer.source)
            ident = name.replace("#", "-")
            fields = {**fields, "id": ident}
            self._set(words, fields, join)
            self.state.chosen = place_key(ident, surface) if surface else ident
            return
        self._set(words, fields, join)

    def _set(self, words: str, fields: Mapping[str, Any], join: str) -> None:
        _, _, _, place, change = self.layer()
        self.only_if_meant(place, change)
        made = changes.set_layer(self.state.show_now, place, change, fields)
        self.do(f"{self.called()}: {words}", made, f"{place.look} {place.key} {join}" if join else "")

    def type_into(self, key: str, text: str) -> None:
        """Take what was typed into one of the layer's fields."""
        scene, layer, source = self.meant()
        if key == "surfaces":
            _, _, _, place, change = self.layer()
            self.only_if_meant(place, change)
            made = changes.set_surfaces(self.state.show_now, place, text)
            self.do(f"{self.called()}: surfaces", made)
            self.state.chosen = place.key
        elif key in ("size", "place") and (box := part_named(scene.surface(self.state.chosen), text)):
            self.set_layer(text.strip(), covered(box, layer, source))
        elif key == "source":
            new = found(scene.show.sources, text, "source")
            self.set_layer(f"now {new.name}", {"source": new.id})
        else:
            fields = layer_edit(layer, source, key, text, scene.show.lengths)
            wall = scene.surface(self.state.chosen)
            wrong = unmatched(wall, layer, source) if fields.get("straight") else ""
            if wrong:
                raise ChangeError(
                    f"{source.name} cannot go direct: {wrong}; scale its file to that, or move it"
                )
            self.set_layer(next(f.label for f in self.state.fields if f.key == key), fields)

    def fade(self, steps: int) -> None:
        """The chosen layer's opacity, so many steps up or down."""
        _, layer, _ = self.meant()
        opacity = min(1.0, max(0.0, round(layer.opacity + steps * FADE_STEP, 4)))
        self.set_layer("faded", {"opacity": opacity}, "fade")

    def nudge(self, across: int, up: int, far: bool) -> None:
        """Move the chosen layer a little."""
        scene, layer, _ = self.meant()
        by = NUDGE_M[scene.show.lengths] * (10 if far else 1)
        box = box_of(layer)
        moved = placed(replace(box, left=box.left + across * by, bottom=box.bottom + up * by))
        self.set_layer("moved", {f: moved[f] for f in ("left_m", "bottom_m")}, "nudge")

    def drop(self, fields: Mapping[str, Any]) -> None:
        """A layer was dragged here."""
        self.set_layer("placed", fields)

    def undistort(self) -> None:
        """The layer's height such that its picture is not distorted."""
        _, layer, source = self.meant()
        self.set_layer("undistorted", placed(fitted(layer, source)))

    def fill(self) -> None:
        """Over the input it lies in most; over the whole wall if it covers that already, and then no further.
        What is too wide or too high for it is cut, so that the picture keeps its shape."""
        scene, layer, source = self.meant()
        wall = scene.surface(self.state.chosen)
        rect = layer_rect(wall, layer)
        shares = [(part.area, i) for i in wall.inputs if (part := rect.meet(input_rect(i))) is not None]
        box = Box(0, 0, wall.width_m, wall.height_m)
        if shares and placed(box_of(layer)) != placed(box):
            one = input_box(wall, max(shares, key=lambda s: s[0])[1])
            box = box if placed(box_of(layer)) == placed(one) else one
        fields = covered(box, layer, source)
        if layer.model_dump(mode="json", include=set(fields)) == fields:
            raise ChangeError(f"{source.name} fills {wall.name} already; an input: type its name as its size")
        self.set_layer("filled", fields)

    def order(self, by: int) -> None:
        """To the front or to the back."""
        _, _, _, place, _ = self.layer()
        self.do(f"{self.called()}: order", changes.move_layer(self.state.show_now, place.look, place.key, by))

    def here(self) -> str:
        """Let the layer be so in this place of the show only, or everywhere again; what it is now."""
        scene, layer, _, place, change = self.layer()
        item = scene.plan.items[scene.item].item.id
        if change is None or (item, place.cue) in self.state.rehearsal.tried:
            raise ChangeError("only a look with a cue can differ here; keep the preview first")
        own = scene.name_in_look(self.state.chosen)
        was = changes.overriding(change, own, place.surface) is not None
        made, chosen = changes.here_only(self.state.show_now, place, change, layer)
        self.do(f"{self.called()}: {'as in every place' if was else 'here only'}", made)
        self.state.chosen = chosen
        return "as the look has it again" if was else "from now on its changes count here only"

    def hide(self) -> None:
        """Leave the layer out in this place of the show only; in a run take it out now, again: bring it
        back."""
        if self.in_run:
            self.meant()
            self.play({"hidden": not self.state.hand.is_out(self.state.chosen or "")})
            return
        scene, _, source, place, change = self.layer()
        if change is None or (scene.plan.items[scene.item].item.id, place.cue) in self.state.rehearsal.tried:
            raise ChangeError("only a look with a cue can differ here; keep the preview first")
        own = scene.name_in_look(self.state.chosen)
        self.do(
            f"{source.name} in “{scene.standing.look.name}”: hidden here",
            changes.hide_here(place, change, own),
        )
        self.state.chosen = None

    def remove(self) -> None:
        """Take the layer out of its look."""
        scene, _, source, place, _ = self.layer()
        self.only_if_meant(place, None, self.hide)
        made = changes.take_layer(self.state.show_now, place.look, place.key, place.surface)
        look, off = scene.standing.look.name, place.surface and scene.surface(self.state.chosen).name
        self.do(f"{source.name} taken {f'off {off} in' if off else 'out of'} “{look}”", made)
        self.state.chosen = None

    def add(self, text: str) -> str:
        """New layers of the sources that a line names, each where it says; what was done, in words."""
        look = self.scene().standing.look
        if look.id not in {k.id for k in self.state.show_now.looks}:
            raise ChangeError(
                f"there is no look here to put it on; {self.keys['wall.try']} previews one, "
                f"{self.keys['wall.new_look']} makes one"
            )
        scene = self.scene()
        wall, now = scene.surface(self.state.chosen, self.state.surface), scene.standing
        place = changes.LayerPlace(scene.plan.items[scene.item].item.id, now.cue, look.id, "")

        def here() -> None:
            if not now.cue or (place.item, now.cue) in self.state.rehearsal.tried:
                raise ChangeError("only a look with a cue can differ here; keep the preview first")
            made, name = changes.add_here(self.state.show_now, place, now.change, wall, text)
            self.do(f"“{name}” here only: {text.strip()}", made)

        change, key = changes.add_layers(self.state.show_now, look.id, wall, text)
        self.only_if_meant(place, None, here)
        self.do(f"put on “{look.name}”: {text.strip()}", change)
        self.state.chosen = key
        return f"on “{look.name}”: {text.strip()}"

    def undo(self) -> str | None:
        """Take the last change back, in a run what a hand here changed last of the look that stands; what it
        was, or None if there is none."""
        if not self.in_run:
            return self.state.store.undo()
        hand = self.state.hand
        found = hand.hands.undo()
        if found is None:
            return None
        key, before = found
        scene = self.state.scene
        assert scene is not None  # a run is followed
        names = {x.id: x.name for x in scene.show.sources}
        layer = scene.layer(key)
        hand.play(key, before)
        hand.hands.forget_gesture()
        name = key if layer is None else names.get(layer[1].source, key)
        words = f"{name} in “{scene.standing.look.name}”: {played_words(before)}"
        return f"{words}, {names[before['source']]} again" if before.get("source") in names else words

    def redo(self) -> str | None:
        """Make it again; what it was, or None. What was played is played again by hand."""
        return None if self.in_run else self.state.store.redo()
