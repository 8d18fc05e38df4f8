"""What the wall area shows: a run that is followed, or the plan where the rehearsal is; what is chosen."""

import time
from collections.abc import Mapping
from typing import Any

from showcaller.desk.areas.wall.layer_fields import PLAYED, LayerField, layer_fields, surfaces_field
from showcaller.desk.areas.wall.live_hand import LiveHand
from showcaller.desk.areas.wall.rehearsal import Rehearsal
from showcaller.desk.areas.wall.scene import Scene, Scenes
from showcaller.desk.areas.wall.wallview import WallView, wall_view
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QObject, Signal
from showcaller.desk.run_controller import RunController
from showcaller.model import HousePlace, Show
from showcaller.model.base import ById
from showcaller.review.faults import FaultHistory
from showcaller.screen.faults import Panel
from showcaller.screen.geometry import layer_rect
from showcaller.screen.looks import layer_keys
from showcaller.screen.picture import Picture
from showcaller.values import replace

PANELS = ("sources", "messages", "faults", "data", "grid", "set-up", "cameras")
GRID = 4
"""The place of the grid among them."""
FAULTS, SETUP, CAMERAS = 2, 5, 6
COUNTS_A_SECOND = 2
"""How often the counters of a picture that moves are read."""


class WallState(QObject):
    """Follows the run that is on until an item is chosen by hand; then it shows and changes the plan.

    Attributes:
        scene: the instant that is shown, None for a show without a wall; another at every ``look``.
        view: its words, made anew when ``changed`` is told.
        chosen: the layer that is meant, by what it goes by.
        hand: the director's in a run: what is played of what is on, and what is next.
        beside: whether a show is on and an item's plan is shown.
        everywhere: (look, item, cue) of looks used in several places that are to be changed in all of them.
        drag: the fields of the chosen layer while the mouse holds it.
        panel: which of ``PANELS`` the foot shows.
        surface: the id of the surface that was clicked last.
        seat: the place that the wall is seen from; None: straight on. ``seat_words`` say what is seen of the
            main one from there, ``seat_lines`` of each further surface.
        other: another edition to compare with (its name, its show), in front while ``shows_other``.
    """

    changed = Signal()
    moved = Signal()
    """Time has gone on, and nothing else."""

    def __init__(self, store: DocumentStore, keys: Keys, parent: QObject) -> None:
        super().__init__(parent)
        self.store = store
        self._keys = keys
        self.rehearsal = Rehearsal(store.show_now.items[0].id)
        self.host: RunController | None = None
        self.scene: Scene | None = None
        self.view: WallView | None = None
        self.chosen: str | None = None
        self.drag: Mapping[str, Any] | None = None
        self.panel = 0
        self.follows = True
        self.other: tuple[str, Show] | None = None
        self.shows_other = False
        self.hand = LiveHand()
        self.seat: HousePlace | None = None
        self.surface = ""
        self.seat_words = ""
        self.seat_lines: tuple[str, ...] = ()
        self.beside = False
        self.everywhere: set[tuple[str, str, str]] = set()
        self._scenes = Scenes()
        self._seen: Any = None

    @property
    def show_now(self) -> Show:
        """The show as it is edited."""
        return self.store.show_now

    @property
    def faults(self) -> Mapping[Panel, str]:
        """Panels marked tonight, and what is wrong with each."""
        return {} if self.host is None else self.host.book.state.faults

    @property
    def history(self) -> FaultHistory:
        """The tour's faults before tonight."""
        return FaultHistory() if self.host is None else self.host.outlook.facts.wall_faults

    @property
    def live(self) -> bool:
        """Whether a run is followed."""
        host = self.host
        return host is not None and self.follows and host.book.state.phase in ("running", "held")

    @property
    def editable(self) -> bool:
        """Whether what is shown may be changed: in a run the look that stands or is next, but not another
        edition."""
        scene = self.scene
        if scene is None or scene.other:
            return False
        return not scene.live or scene.on is not None or self.hand.side == "next"

    @property
    def fields(self) -> tuple[LayerField, ...]:
        """The chosen layer's fields."""
        scene = self.meant
        found = scene.layer(self.chosen) if scene is not None else None
        if found is None or scene is None:
            return ()
        sources = scene.show.sources
        own = layer_fields(
            found[1], next(s for s in sources if s.id == found[1].source), sources, scene.show.lengths
        )
        fields = (*surfaces_field(scene.show, scene.standing.look.layers[found[0]]), *own)
        return tuple(f for f in fields if f.key in PLAYED) if scene.live else fields

    @property
    def meant(self) -> Scene | None:
        """What a key or a field acts on: what is shown, or in a run what is next."""
        coming = self.hand.next
        return coming.scene if coming is not None and self.hand.side == "next" else self.scene

    @property
    def picture(self) -> Picture | None:
        """What is on the wall, a layer that is dragged where the mouse holds it."""
        scene = self.scene
        if scene is not None and scene.live:
            return scene.picture_with(self.hand.ahead)
        return self._dragged(scene)

    @property
    def next_picture(self) -> Picture | None:
        """In a run: what is next, as it will be."""
        coming = self.hand.next
        if coming is None:
            return None
        return self._dragged(coming.scene) if self.hand.side == "next" else coming.scene.picture

    def _dragged(self, scene: Scene | None) -> Picture | None:
        found = None if scene is None else scene.layer(self.chosen)
        if scene is None or self.drag is None or found is None:
            return None if scene is None else scene.picture
        held = found[1].model_copy(update=dict(self.drag))
        lifted = scene.spread.lifted(held, scene.surface(self.chosen).id)
        picture, r = scene.picture, layer_rect(scene.spread.wall, lifted)
        layers = tuple(replace(p, rect=r, moving=True) if p.key == self.chosen else p for p in picture.layers)
        return replace(picture, layers=layers)

    def look(self, host: RunController, now_s: float) -> None:
        """See how things stand; called at every frame while the area is in front."""
        self.host = host
        self.beside = not self.follows and host.book.state.phase in ("running", "held")
        if self.live:
            scene = self._scenes.live(host.book, host.now_ns())
        else:
            other, show = self.other if self.other and self.shows_other else ("", self.store.show_now)
            scene = self._scenes.rehearsed(show, self.rehearsal, now_s, other)
        self.scene = scene
        if scene is not None and self.everywhere:  # what was answered counts while that look is in front
            now = scene.standing
            self.everywhere &= {(now.look.id, scene.plan.items[scene.item].item.id, now.cue)}
        self.hand.look(scene, host.session, now_s)
        key = self._key(scene, now_s)
        if key != self._seen:
            self._seen = key
            seen = None if scene is None else self.meant
            self.view = (
                None if scene is None else wall_view(scene, self._keys, self.faults, seen, self.beside)
            )
            self.changed.emit()
        elif scene is not None and scene.moving:
            self.moved.emit()

    def look_again(self) -> None:
        """Something was done: the next key may come before the next frame."""
        if self.host is not None:
            self.look(self.host, time.monotonic())

    def choose_by(self, by: int) -> None:
        """Choose the layer in front (1) or behind (−1)."""
        keys = layer_keys(self.meant.spread_look) if self.meant is not None else ()
        if not keys:
            self.chosen = None
            return
        at = keys.index(self.chosen) + by if self.chosen in keys else (0 if by > 0 else len(keys) - 1)
        self.chosen = keys[max(0, min(len(keys) - 1, at))]

    def _key(self, scene: Scene | None, now_s: float) -> Any:
        """What, if it is another, makes everything another."""
        if scene is None:
            return None
        second = int(scene.at_s) if scene.moving else round(scene.at_s, 3)
        counting = int(now_s * COUNTS_A_SECOND) if scene.moving else None
        return (
            ById(scene.show), ById(scene.looks), ById(scene.planned), scene.item,
            scene.looks.index_at(scene.at_s), second, self.chosen, self.panel, tuple(self.faults.items()),
            ById(self.history), scene.live, scene.moving, scene.other, scene.tried, counting, ById(scene.on),
            ById(self.hand.next), self.hand.side,
            self.surface, self.seat, self.beside,
        )  # fmt: skip
