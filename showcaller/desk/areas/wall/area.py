"""The wall area: what the audience sees, to scale; layers to change; channels, sources, faults; rehearsal."""

import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from showcaller.desk.areas.wall import painting
from showcaller.desk.areas.wall.acts import WallActs
from showcaller.desk.areas.wall.asking import WallAsking
from showcaller.desk.areas.wall.editing import LayerField, layer_fields
from showcaller.desk.areas.wall.graph import ChannelGraph
from showcaller.desk.areas.wall.panels import PANELS
from showcaller.desk.areas.wall.projector import Projector, Shot
from showcaller.desk.areas.wall.rehearsal import Rehearsal
from showcaller.desk.areas.wall.scene import Scene, Scenes
from showcaller.desk.areas.wall.screen import WallScreen
from showcaller.desk.areas.wall.sound import Sound
from showcaller.desk.areas.wall.typing_in import WallTyping
from showcaller.desk.areas.wall.wallview import WallView, wall_view
from showcaller.desk.context import DeskContext
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QContextMenuEvent, QMouseEvent, Qt
from showcaller.desk.run_controller import RunController
from showcaller.editing import ChangeError
from showcaller.model import Show, Song
from showcaller.model.base import ById
from showcaller.run import commands as c
from showcaller.screen.geometry import Rect, layer_rect
from showcaller.screen.picture import Picture

SAID_S = 8.0
_ARROWS = {"left": (-1, 0), "right": (1, 0), "up": (0, 1), "down": (0, -1)}


class WallArea(Sheet):
    """Follows the run that is on until an item is chosen by hand; then it shows and changes the plan."""

    def __init__(self, store: DocumentStore, around: DeskContext) -> None:
        super().__init__("Wall: what the screen shows")
        self.store = store
        self.keys = around.keys
        self._around = around
        self.projector = Projector()
        self.screen_, self.graph = WallScreen(self.projector.newest), ChannelGraph()
        for child in (self.screen_, self.graph):
            child.setParent(self)
            # Painted whole every time, so what lies behind need not be painted anew at every frame.
            child.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.rehearsal = Rehearsal(store.show_now.items[0].id)
        self.acts = WallActs(store, self.rehearsal, lambda: self.scene, around.keys)
        self.scene: Scene | None = None
        self.view: WallView | None = None
        self.panel = 0
        self.follows = True
        self.other: tuple[str, Show] | None = None
        self.shows_other = False
        self.host: RunController | None = None
        self._scenes = Scenes()
        self._asking = WallAsking(self, around.ask)
        self._typing = WallTyping(self)
        self._sound = Sound()
        self._drag: Mapping[str, Any] | None = None
        self._seen: Any = None
        self._shot: Any = None
        self.places = painting.Places()
        self._said: tuple[str, str, float] = ("", "quiet", -1e9)
        self.field = FieldEdit(self)
        self.projector.made.connect(self._picture_made)
        self.screen_.chose.connect(self._choose_layer)
        self.screen_.drags.connect(self._dragged)
        self.screen_.dropped.connect(self._dropped)
        self.graph.sought.connect(self.seek)

    # Every frame

    def refresh(self, host: RunController) -> None:
        """Show how things stand; called at every frame while the area is in front."""
        self.host = host
        now_s = time.monotonic()
        book = host.book
        live = self.follows and book.state.phase in ("running", "held")
        if live:
            scene = self._scenes.live(book, host.now_ns())
        else:
            other, show = self.other if self.other and self.shows_other else ("", self.store.show_now)
            scene = self._scenes.rehearsed(show, self.rehearsal, now_s, other)
            if scene is not None and self.rehearsal.playing and not scene.moving:
                self.toggle()
        self.scene = scene
        self.screen_.setVisible(scene is not None)
        self.graph.setVisible(scene is not None and self.panel == 0)
        if scene is None:
            self.update()
            return
        self.screen_.scene, self.screen_.chosen = scene, self.acts.chosen
        self.screen_.editable = not live and not scene.other
        self.screen_.faults = book.state.faults
        self.screen_.earlier = frozenset(host.outlook.facts.wall_faults.open)
        self._ask_for(scene)
        self.graph.at_s = scene.at_s
        second = int(scene.at_s) if scene.moving else round(scene.at_s, 3)
        counting = int(now_s * 2) if scene.moving else None  # the counters need no more
        key = (
            ById(scene.show), ById(scene.looks), ById(scene.planned), scene.item,
            scene.looks.index_at(scene.at_s), second, self.acts.chosen, self.panel,
            len(book.state.faults), live, scene.moving, scene.other, scene.tried, counting,
            self._sound.trouble, self._said[2] + SAID_S > now_s,
        )  # fmt: skip
        if key != self._seen:
            self._seen = key
            self.view = wall_view(scene, self.keys, book.state.faults)
            self.graph.view = self.view
            self._lay_out()
            self.graph.update()
            self.update()
        elif scene.moving:
            self.graph.update()

    def _ask_for(self, scene: Scene) -> None:
        """Have the picture composed, if it is another than the last."""
        ratio = self.screen_.devicePixelRatioF()
        size = int(self.screen_.width() * ratio), int(self.screen_.height() * ratio)
        if min(size) < 16:
            return
        sources = scene.show.sources
        drag = None if self._drag is None else tuple(self._drag.items())
        shot = (ById(scene.looks), scene.at_s, size, drag, ById(sources))
        if shot == self._shot and not self.projector.lost:
            return
        if self._shot is None or self._shot[-1] != ById(sources):
            self.projector.take_sources(sources, self.store.folder)
        self._shot = shot
        self.projector.ask(Shot(scene.wall, self._picture(scene), *size, live=scene.moving))

    def _picture(self, scene: Scene) -> Picture:
        picture = scene.picture
        found = scene.layer(self.acts.chosen)
        if self._drag is None or found is None:
            return picture
        r: Rect = layer_rect(scene.wall, found[1].model_copy(update=dict(self._drag)))
        layers = tuple(
            replace(p, rect=r, moving=True) if p.key == self.acts.chosen else p for p in picture.layers
        )
        return replace(picture, layers=layers)

    def _picture_made(self) -> None:
        self.screen_.update()

    def settle(self, timeout_s: float = 3.0) -> None:
        """Wait until the picture that was asked for is there; for pictures of the desk."""
        self.projector.settle(timeout_s)

    # Choosing

    def choose(self, items: int, looks: int) -> None:
        """Step to another item, or to another look of this one."""
        scene = self.scene
        if scene is None:
            return
        self._leave_run(scene)
        if items:
            ids = [p.item.id for p in scene.plan.items]
            self.rehearsal.choose(ids[max(0, min(len(ids) - 1, scene.item + items))])
            self._sound.stop()
        if looks:
            planned = scene.planned
            n = max(0, min(len(planned.standing) - 1, planned.index_at(scene.at_s) + looks))
            # Where it has arrived; a hair on, since an instant belongs to what sets out in it.
            self.seek(
                planned.standing[n].arrived_s if not self.rehearsal.playing else planned.standing[n].at_s
            )

    def follow(self) -> None:
        """Show what the run has on the wall again; without one, the item's start."""
        self.follows, self.shows_other = True, False
        self.rehearsal.playing = False
        self._sound.stop()
        self.rehearsal.seek(0.0, time.monotonic())

    def _leave_run(self, scene: Scene) -> None:
        """From now on the plan is shown, at the place where the run is."""
        if scene.live:
            self.follows = False
            self.rehearsal.choose(scene.plan.items[scene.item].item.id)
            self.rehearsal.seek(scene.at_s, time.monotonic())

    def seek(self, at_s: float) -> None:
        """Go to a place of the item."""
        if self.scene is not None and self.scene.live:
            return
        self.rehearsal.seek(at_s, time.monotonic())
        if self.rehearsal.playing:
            self._hear()

    def toggle(self) -> None:
        """Play the item, or stop."""
        scene = self.scene
        if scene is None or scene.live:
            self.say(f"a run is on; {self.keys['wall.item_after']} chooses an item to rehearse by itself")
            return
        self.rehearsal.toggle(time.monotonic(), scene.planned.length_s)
        self.projector.count_anew()
        self._hear()

    def _hear(self) -> None:
        scene = self.scene
        item = scene.plan.items[scene.item].item if scene is not None else None
        folder = self.store.folder
        if (
            not self.rehearsal.playing
            or not isinstance(item, Song)
            or item.reference is None
            or folder is None
        ):
            self._sound.stop()
            return
        at_s = self.rehearsal.at_s(time.monotonic(), float(item.length_s)) + float(item.reference_at_s)
        self._sound.play(Path(folder) / item.reference, at_s)

    def compare(self, number: int, show: Show) -> None:
        """Show another edition in the place of this one; ``A/B`` switches between them."""
        self.other, self.shows_other = (f"edition {number}", show), True

    # Acting

    def say(self, words: str, tone: str = "quiet") -> None:
        """A line under the wall."""
        self._said = (words, tone, time.monotonic())
        self.update()

    def attempt(self, act: Callable[[], object]) -> str | None:
        """Do something; a sentence if it cannot be done, which is also said."""
        try:
            act()
        except ChangeError as error:
            self.say(str(error), "caution")
            return str(error)
        if self.host is not None:
            self.refresh(self.host)  # the next key may come before the next frame
        return None

    def leave(self) -> bool:
        """Discard what is tried."""
        if not self.acts.discard():
            return False
        self.say("what was tried is discarded")
        return True

    def perform(self, name: str) -> None:
        """Do what a key, a word of the area or a menu says."""
        way = name.removeprefix("far_")
        if way in _ARROWS:
            self.attempt(lambda: self.acts.nudge(*_ARROWS[way], way != name))
            return
        simple: dict[str, Callable[[], object]] = {
            "play": self.toggle,
            "back": lambda: self.seek(max(0.0, (self.scene.at_s if self.scene else 0.0) - 5)),
            "on": lambda: self.seek((self.scene.at_s if self.scene else 0.0) + 5),
            "front": lambda: self.acts.choose_by(1),
            "behind": lambda: self.acts.choose_by(-1),
            "raise": lambda: self.acts.order(1),
            "lower": lambda: self.acts.order(-1),
            "fit": self.acts.undistort,
            "fill": self.acts.fill,
            "here": lambda: self.say(self.acts.here()),
            "hide": self.acts.hide,
            "remove": self.acts.remove,
            "keep": lambda: self.say(f"kept “{self.acts.keep()}”"),
            "undo": lambda: self._undone(self.store.undo(), "undone: {}", "nothing to undo"),
            "redo": lambda: self._undone(self.store.redo(), "made again: {}", "nothing to make again"),
            "panel": self._turn,
            "follow": self.follow,
            "item_before": lambda: self.choose(-1, 0),
            "item_after": lambda: self.choose(1, 0),
            "look_before": lambda: self.choose(0, -1),
            "look_after": lambda: self.choose(0, 1),
            "edit": self._edit_first,
        }
        act = simple.get(name)
        if act is not None:
            self.attempt(act)
        else:
            self._asking.ask(name)

    def _undone(self, words: str | None, done: str, nothing: str) -> None:
        self.say(nothing if words is None else done.format(words))

    def _turn(self) -> None:
        self.panel = (self.panel + 1) % len(PANELS)

    def _edit_first(self) -> None:
        sends = [key for key, _ in self.places.fields if key.startswith("send ")]
        if sends or self.places.fields:
            self._typing.open(sends[0] if sends else self.places.fields[0][0])
        else:
            self.say(f"choose a layer first: click it, or {self.keys['wall.front']}")

    def fault_key(self) -> bool:
        """Mark the panel under the mouse as dead, or mended if it is marked; False if none is under it."""
        panel = self.screen_.hovered_panel() if self.screen_.isVisible() else None
        session = self.host.session if self.host is not None else None
        if panel is None or session is None:
            return False
        known = {
            **(self.host.outlook.facts.wall_faults.open if self.host else {}),
            **session.book.state.faults,
        }
        session.send(c.Fault(column=panel[0], row=panel[1], mended=panel in known))
        return True

    # Fields and the mouse

    def _choose_layer(self, key: object) -> None:
        self.acts.chosen = str(key) if key is not None else None

    def _dragged(self, fields: Mapping[str, Any]) -> None:
        self._drag = fields

    def _dropped(self, fields: Mapping[str, Any] | None) -> None:
        self._drag = None
        if fields is not None:
            self.attempt(lambda: self.acts.drop(fields))

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        at = event.pos().toPointF()
        self.acts.chosen = next(
            (key for key, box in self.places.layers if box.contains(at)), self.acts.chosen
        )
        self._around.menu("look" if self.acts.chosen is None else "layer")

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if self.field.is_open():
            self.field.take()
        for name, box in self.places.words:
            if box.contains(at):
                if name in PANELS:
                    self.panel = PANELS.index(name)
                else:
                    self.perform(name)
                return
        for key, box in self.places.layers:
            if box.contains(at):
                self.acts.chosen = key
        for key, box in self.places.fields:
            if box.contains(at):
                self._typing.open(key)

    # Drawing

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self._lay_out()

    def _lay_out(self) -> None:
        if self.scene is not None:
            wall, graph = painting.places(self, self.scene.wall)
            self.screen_.setGeometry(wall)
            self.graph.setGeometry(graph)

    def draw(self, paper: Paper) -> None:
        self.places = painting.draw(paper, self)

    @property
    def fields(self) -> tuple[LayerField, ...]:
        """The chosen layer's fields."""
        found = self.scene.layer(self.acts.chosen) if self.scene is not None else None
        if found is None or self.scene is None:
            return ()
        return layer_fields(found[1], next(s for s in self.scene.show.sources if s.id == found[1].source))

    def said(self) -> tuple[str, str] | None:
        """What was done or refused last, while it is fresh: (words, tone)."""
        words, tone, at_s = self._said
        return (words, tone) if words and time.monotonic() - at_s < SAID_S else None

    @property
    def trouble(self) -> str:
        """Why a rehearsal is not heard."""
        return self._sound.trouble if self.rehearsal.playing else ""

    def close_all(self) -> None:
        """Let go of files, cameras and sound."""
        self._sound.stop()
        self.projector.close()
