"""What can be done in the wall area: each act changes the show through the store or says why not."""

from collections.abc import Callable, Mapping
from typing import Any

from showcaller.desk.areas.wall import editing as edits
from showcaller.desk.areas.wall.grips import NUDGE_M, Box, box_of, fitted, placed
from showcaller.desk.areas.wall.making import new_source, new_wall
from showcaller.desk.areas.wall.rehearsal import Rehearsal
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.keys import Keys
from showcaller.editing import Change, ChangeError, Put, SetFields, Take
from showcaller.model import Layer, LookChange, Show, Source
from showcaller.screen.geometry import input_rect, layer_rect
from showcaller.screen.looks import layer_keys

FOLLOWING = "a run is on and is followed here: ↑ ↓ choose an item to work on, Home follows the run again"


class WallActs:
    """``scene`` gives what is shown now; ``chosen`` is the layer that is meant, by what it goes by."""

    def __init__(
        self, store: DocumentStore, rehearsal: Rehearsal, scene: Callable[[], Scene | None], keys: Keys
    ) -> None:
        self._book = store
        self._keys = keys
        self._rehearsal = rehearsal
        self._scene = scene
        self.chosen: str | None = None

    # What is meant

    def scene(self) -> Scene:
        """What is shown, where it may be changed.

        Raises:
            ChangeError: it may not: a run is followed, another edition is shown, there is no wall.
        """
        scene = self._scene()
        if scene is None:
            raise ChangeError("this show has no wall; give it one in its document under 'wall'")
        if scene.live:
            raise ChangeError(FOLLOWING)
        if scene.other:
            raise ChangeError(
                f"{scene.other} is only looked at; {self._keys['wall.compare']} goes back to tonight's"
            )
        return scene

    @property
    def show(self) -> Show:
        """The show as it is edited."""
        return self._book.show_now

    def _layer(self) -> tuple[Scene, Layer, Source, edits.LayerPlace, LookChange | None]:
        scene = self.scene()
        found = scene.layer(self.chosen)
        if found is None or self.chosen is None:
            raise ChangeError(f"choose a layer first: click it, or {self._keys['wall.front']}")
        now = scene.standing
        item = scene.plan.items[scene.item].item.id
        place = edits.LayerPlace(item, now.cue, now.look.id, self._key_in_look(scene))
        source = next(s for s in self.show.sources if s.id == found[1].source)
        return scene, found[1], source, place, now.change if now.cue else None

    def _key_in_look(self, scene: Scene) -> str:
        """What the chosen layer goes by in the look itself, where an override may hide one before it."""
        found = scene.layer(self.chosen)
        assert found is not None
        assert self.chosen is not None
        shown = [x for x in scene.standing.look.layers[: found[0]] if x.key == found[1].key]
        hidden = any(o.hidden and o.layer == found[1].key for o in scene.standing.change.overrides)
        return self.chosen if not hidden or shown else found[1].key

    # Layers

    def choose_by(self, by: int) -> None:
        """Choose the layer in front (1) or behind (−1)."""
        scene = self._scene()
        keys = layer_keys(scene.standing.look) if scene is not None else ()
        if not keys:
            self.chosen = None
            return
        at = keys.index(self.chosen) + by if self.chosen in keys else (0 if by > 0 else len(keys) - 1)
        self.chosen = keys[max(0, min(len(keys) - 1, at))]

    def set_layer(self, words: str, fields: Mapping[str, Any], join: str = "") -> None:
        """Give the chosen layer new values."""
        _, _, source, place, change = self._layer()
        made = edits.set_layer(self.show, place, change, fields)
        self._do(f"{source.name}: {words}", made, f"{place.look} {place.key} {join}" if join else "")

    def type_into(self, key: str, text: str) -> None:
        """Take what was typed into one of the layer's fields."""
        _, layer, source, _, _ = self._layer()
        self.set_layer(key, edits.layer_edit(layer, source, key, text))

    def nudge(self, across: int, up: int, far: bool) -> None:
        """Move the chosen layer a little."""
        _, layer, _, _, _ = self._layer()
        by = NUDGE_M * (10 if far else 1)
        moved = {
            "left_m": round(layer.left_m + across * by, 3),
            "bottom_m": round(layer.bottom_m + up * by, 3),
        }
        self.set_layer("moved", moved, "nudge")

    def drop(self, fields: Mapping[str, Any]) -> None:
        """A layer was dragged here."""
        self.set_layer("placed", fields)

    def undistort(self) -> None:
        """The layer's height such that its picture is not distorted."""
        _, layer, source, _, _ = self._layer()
        self.set_layer("undistorted", placed(fitted(layer, source)))

    def fill(self) -> None:
        """Over the input it lies in most; over the whole wall if it covers that already."""
        scene, layer, _, _, _ = self._layer()
        wall = scene.wall
        rect = layer_rect(wall, layer)
        shares = [(part.area, i) for i in wall.inputs if (part := rect.meet(input_rect(i))) is not None]
        box = Box(0, 0, wall.width_m, wall.height_m)
        if shares:
            i = max(shares, key=lambda s: s[0])[1]
            across, down = wall.width_m / wall.width_px, wall.height_m / wall.height_px
            one = Box(
                i.x_px * across,
                wall.height_m - (i.y_px + i.height_px) * down,
                i.width_px * across,
                i.height_px * down,
            )
            box = box if placed(box_of(layer)) == placed(one) else one
        self.set_layer("filled", placed(box))

    def order(self, by: int) -> None:
        """To the front or to the back."""
        _, _, source, place, _ = self._layer()
        self._do(f"{source.name}: order", edits.move_layer(self.show, place.look, place.key, by))

    def here(self) -> str:
        """Let the layer be so in this place of the show only, or everywhere again; what it is now."""
        scene, layer, source, place, change = self._layer()
        item = scene.plan.items[scene.item].item.id
        if change is None or (item, place.cue) in self._rehearsal.tried:
            raise ChangeError("only a look that a cue brings can be otherwise here; keep what is tried first")
        was = edits.overriding(change, layer.key) is not None
        made, self.chosen = edits.here_only(self.show, place, change, layer)
        self._do(f"{source.name}: {'as everywhere' if was else 'here only'}", made)
        return "as the look has it again" if was else "from now on its changes count here only"

    def hide(self) -> None:
        """Leave the layer out in this place of the show only."""
        scene, layer, source, place, change = self._layer()
        if change is None or (scene.plan.items[scene.item].item.id, place.cue) in self._rehearsal.tried:
            raise ChangeError("only a look that a cue brings can be otherwise here; keep what is tried first")
        self._do(f"{source.name}: left out here", edits.hide_here(place, change, layer.key))
        self.chosen = None

    def remove(self) -> None:
        """Take the layer out of its look."""
        _, _, source, place, _ = self._layer()
        self._do(f"{source.name} taken out", edits.take_layer(self.show, place.look, place.key))
        self.chosen = None

    def add(self, text: str) -> str:
        """A new layer of the source that somebody means; returns its name."""
        look = self.scene().standing.look
        if look.id not in {k.id for k in self.show.looks}:
            raise ChangeError(
                f"there is no look here to put it on; {self._keys['wall.try']} tries one, "
                f"{self._keys['wall.new_look']} makes one"
            )
        source = _found(self.show.sources, text, "source")
        change, key = edits.add_layer(self.show, look.id, source)
        self._do(f"{source.name} put on “{look.name}”", change)
        self.chosen = key
        return str(source.name)

    # The wall and its sources

    def new_wall(self, text: str) -> None:
        """A wall for a show that has none."""
        self._do("the wall", new_wall(self.show, text))

    def new_source(self, text: str) -> None:
        """A new source."""
        change, name = new_source(self.show, text)
        self._do(f"new source {name}", change)

    # Looks

    def new_look(self, name: str) -> None:
        """A new look like this one, tried here."""
        now = self.scene().standing
        change, ident = edits.new_look(self.show, name, now.look)
        self._do(f"new look {name}", change)
        self._try(LookChange.model_validate({**now.change.model_dump(), "look": ident, "overrides": ()}))

    def try_look(self, text: str) -> str:
        """Put another look in the place of this one, for the time being."""
        now = self.scene().standing
        look = _found(self.show.looks, text, "look")
        self._try(LookChange.model_validate({**now.change.model_dump(), "look": look.id, "overrides": ()}))
        return str(look.name)

    def how_it_comes(self, text: str) -> None:
        """Change how this look comes, for the time being if it is tried."""
        scene = self.scene()
        now = scene.standing
        if not now.cue:
            raise ChangeError(
                "this look is carried over from before; give the item a cue with a look in the Book"
            )
        change = edits.change_from_text(now.look.id, text)
        change = LookChange.model_validate({**change.model_dump(), "overrides": now.change.overrides})
        item = scene.plan.items[scene.item].item.id
        if (item, now.cue) in self._rehearsal.tried:
            self._rehearsal.tried[item, now.cue] = change
        else:
            self._do("how the look comes", edits.set_change(item, now.cue, change))

    def _try(self, change: LookChange) -> None:
        scene = self.scene()
        item = scene.plan.items[scene.item].item.id
        self._rehearsal.tried[item, scene.standing.cue] = change

    def keep(self) -> str:
        """Keep what is tried in this item: its cues bring it from now on."""
        scene = self.scene()
        item = scene.plan.items[scene.item].item.id
        mine = {cue: change for (name, cue), change in self._rehearsal.tried.items() if name == item}
        if not mine:
            raise ChangeError(f"nothing is tried here; {self._keys['wall.try']} tries a look")
        if "" in mine:
            raise ChangeError(
                "what is tried stands before the item's first cue; make a cue for it in the Book"
            )
        for cue, change in mine.items():
            self._do("kept what was tried", edits.set_change(item, cue, change))
        self.discard()
        return ", ".join(sorted({k.name for k in self.show.looks for c in mine.values() if k.id == c.look}))

    def discard(self) -> bool:
        """Drop what is tried in this item; whether there was something."""
        scene = self._scene()
        if scene is None:
            return False
        item = scene.plan.items[scene.item].item.id
        mine = [key for key in self._rehearsal.tried if key[0] == item]
        for key in mine:
            del self._rehearsal.tried[key]
        return bool(mine)

    # What is sent

    def new_send(self, text: str) -> None:
        """A new template of what is sent."""
        self.scene()
        part = edits.send_from(self.show, text, None)
        self._do("new template", Put(at=("sends",), index=len(self.show.sends), part=part))

    def change_send(self, n: int, text: str) -> None:
        """Change a template, or take it out with an empty text."""
        self.scene()
        ident = self.show.sends[n].id
        if not text.strip():
            self._do("template taken out", Take(at=("sends",), key=ident))
            return
        fields = edits.send_from(self.show, text, ident)
        self._do(
            "template", SetFields(at=("sends", ident), fields={k: v for k, v in fields.items() if k != "id"})
        )

    def _do(self, words: str, change: Change, join: str = "") -> None:
        self._book.do(words, change, join)


def _found(parts: Any, text: str, what: str) -> Any:
    """The part somebody means by a name, its beginning or a word of it."""
    wanted = text.strip().lower()
    if not wanted:
        raise ChangeError(f"type a {what}'s name")
    for test in (
        lambda p: wanted in (p.name.lower(), p.id),
        lambda p: p.name.lower().startswith(wanted) or p.id.startswith(wanted),
        lambda p: wanted in p.name.lower(),
    ):
        found = [p for p in parts if test(p)]
        if found:
            return found[0]
    have = ", ".join(p.name for p in list(parts)[:8]) or "none"
    raise ChangeError(f"no {what} is called '{text.strip()}'; there are {have}")


def suggestions(parts: Any, text: str) -> str:
    """Names that a text may mean."""
    wanted = text.strip().lower()
    return " · ".join(p.name for p in parts if wanted in p.name.lower()) or "none of that name"
