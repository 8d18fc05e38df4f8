"""The wall area: what the audience sees, to scale; layers to change; channels, sources, faults; rehearsal."""

import time

from showcaller.desk.actions import ACTIONS
from showcaller.desk.areas.wall.between import Between
from showcaller.desk.areas.wall.cameras_panel import CamerasPanel
from showcaller.desk.areas.wall.channels_panel import ChannelsPanel
from showcaller.desk.areas.wall.composing import Composing, mark_of
from showcaller.desk.areas.wall.controller import WallController
from showcaller.desk.areas.wall.facts_panel import FactsPanel
from showcaller.desk.areas.wall.faults_panel import FaultsPanel
from showcaller.desk.areas.wall.foot_line import draw_top, draw_under
from showcaller.desk.areas.wall.graph import ChannelGraph
from showcaller.desk.areas.wall.grid import GridPanel
from showcaller.desk.areas.wall.grid_front import GridFront
from showcaller.desk.areas.wall.heads import draw_next, draw_on
from showcaller.desk.areas.wall.heads_words import away_line, next_head, on_head
from showcaller.desk.areas.wall.layer_side import LayerSide
from showcaller.desk.areas.wall.layout import SEEN_PX, SIDE_PX, wall_layout
from showcaller.desk.areas.wall.loudness import Loudness
from showcaller.desk.areas.wall.screen import WallScreen
from showcaller.desk.areas.wall.seat_paint import draw_seen
from showcaller.desk.areas.wall.sent_panel import SentPanel
from showcaller.desk.areas.wall.setup_panel import SetupPanel
from showcaller.desk.areas.wall.state import CAMERAS, FAULTS, PANELS, SETUP, WallState
from showcaller.desk.areas.wall.status import NO_WALL, input_words, side_sentence
from showcaller.desk.buttons import KeyButtons
from showcaller.desk.context import DeskContext
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.tabs import OVER_PX, Tabs
from showcaller.desk.paint.where import draw_where
from showcaller.desk.projector import Projector
from showcaller.desk.qt import QContextMenuEvent, QMouseEvent, Qt
from showcaller.desk.run_controller import RunController
from showcaller.desk.said import FootWords

SAID_MS = 8_000
"""How long what was done, or why not, stays under the wall."""


class WallArea(Sheet):
    """Puts the wall's widgets together: state, controller, and what lies between them on paper."""

    def __init__(self, store: DocumentStore, around: DeskContext) -> None:
        super().__init__("Wall: what the screen shows")
        self._around = around
        self.state, self.said = WallState(store, around.keys, self), FootWords(SAID_MS, self)
        self.projector = Projector()
        self.next_projector = Projector()
        self._composing = Composing(self.state, self.projector)
        self._composing_next = Composing(self.state, self.next_projector)
        self.screen_ = WallScreen(self.projector.newest, self)
        self.next_ = WallScreen(self.next_projector.newest, self, "What is next, to scale")
        self.tabs = Tabs("What the foot shows", PANELS, self)
        self.words = KeyButtons(self, "Wall", around.keys, self.perform)
        self.live_words = KeyButtons(self, "Wall live", around.keys, self.perform)
        self.graph, self.channels = ChannelGraph(self), ChannelsPanel(self)
        self.sent, self.faults = SentPanel(around.keys, self), FaultsPanel(around.keys, self)
        self.facts, self.side, self.setup = FactsPanel(self), LayerSide(self), SetupPanel(self)
        self.cameras = CamerasPanel(self)
        self.edit = FieldEdit(self)
        self.grid = GridPanel(around.keys, self)
        self.controller = WallController(
            self.state,
            self.said,
            around,
            self.projector,
            self.side,
            self.sent,
            self.setup,
            self.cameras,
            self.edit,
        )
        self.grid_front = GridFront(self.state, self.controller, self.grid, around)
        self._troubles: dict[str, str] = {}
        self._between = Between()
        self._loudness = Loudness(self.state, self.graph)
        self._connect()
        self._told()  # a show without a wall tells of no change

    def _connect(self) -> None:
        controller = self.controller
        self.state.changed.connect(self._told)
        self.state.moved.connect(self.graph.update)
        self.said.changed.connect(self.update_between)
        self.projector.made.connect(self.screen_.update)
        self.next_projector.made.connect(self.next_.update)
        self.screen_.chose.connect(lambda key: controller.choose_layer(key, "on"))
        self.next_.chose.connect(lambda key: controller.choose_layer(key, "next"))
        for screen in (self.screen_, self.next_):
            screen.over.connect(controller.dragging.over)
            screen.drags.connect(controller.dragging.drag)
            screen.dropped.connect(controller.dragging.drop)
            screen.faded.connect(controller.dragging.fade)
        self.graph.sought.connect(controller.transport.seek)
        self.tabs.chose.connect(controller.turn_to)
        self.side.chose.connect(controller.choose_layer)
        self.side.opened.connect(controller.open_field)
        self.side.asked.connect(lambda: self._around.menu("layer"))
        self.sent.opened.connect(controller.open_send)
        for panel in (self.setup, self.cameras):
            panel.opened.connect(controller.typing.click_line)
        layers, sent = (self.side.layers, self.side.fields), (self.sent.templates, self.sent.messages)
        for view in (*layers, *sent, self.faults.list):
            view.copied.connect(self.said.copied)

    # What the desk asks of it

    def refresh(self, host: RunController) -> None:
        """Show how things stand; called at every frame while the area is in front."""
        self.state.look(host, time.monotonic())
        self.controller.transport.stop_at_end()
        self.grid_front.show(time.monotonic())
        if self._troubles != self.projector.troubles:
            self._troubles = self.projector.troubles
            self._told()
        state, screen = self.state, self.screen_
        on_side, coming = state.hand.side == "on", state.hand.next
        screen.scene, screen.editable = state.scene, state.editable
        if screen.chosen != (chosen := state.chosen if on_side else None):
            screen.update()
        screen.chosen = chosen
        self.next_.scene = None if coming is None else coming.scene
        self.next_.chosen = None if on_side else state.chosen
        screen.faults, screen.earlier = state.faults, frozenset(state.history.open)
        screen.grid, screen.seat = state.panel == FAULTS, state.seat
        if state.scene is not None:
            screen.loading = self.projector.shows not in (None, mark_of(state.scene))
            self.graph.show_at(state.scene.at_s)
            self._loudness.show()
        ratio, beside = screen.devicePixelRatioF(), self.next_
        self._composing.want(int(screen.width() * ratio), int(screen.height() * ratio))
        if beside.isVisible():
            self._composing_next.want_next(int(beside.width() * ratio), int(beside.height() * ratio))

    def listen(self, host: RunController) -> None:
        """Behind another area: hear pads, and have their lights right; called at every frame."""
        if self.grid_front.pads.active:
            self.state.look(host, time.monotonic())
            self.grid_front.listen(time.monotonic())

    def perform(self, name: str) -> None:
        """Do what a key, a word of the area or a menu says."""
        self.controller.perform(name)

    def leave(self) -> bool:
        """Discard what is tried."""
        return self.controller.leave()

    def fault_key(self) -> bool:
        """Mark the panel under the mouse as dead, or mended if it is marked; False if none is under it."""
        return self.controller.mark_fault(self.screen_.hovered_panel() if self.screen_.isVisible() else None)

    def settle(self, timeout_s: float = 3.0) -> None:
        """Wait until the picture that was asked for is there; for pictures of the desk."""
        self.projector.settle(timeout_s)
        if self.next_.isVisible():
            self.next_projector.settle(timeout_s)
        if self.grid.isVisible():
            self.grid_front.pictures.settle(timeout_s)

    def close_all(self) -> None:
        """Let go of files, cameras and sound."""
        self.controller.transport.close()
        self.controller.files.close()
        self._loudness.close()
        self.projector.close()
        self.next_projector.close()
        self.grid_front.close()

    # What is shown

    def _told(self) -> None:
        """What is shown is another, or is otherwise now: every widget shows it, a screen reader says it."""
        state, scene, view = self.state, self.state.scene, self.state.view
        self.screen_.scene = scene  # before the inputs' names are put under it
        for n, panel in enumerate(
            (self.channels, self.sent, self.faults, self.facts, self.grid, self.setup, self.cameras)
        ):
            panel.setVisible(scene is not None and state.panel == n)
        for part in (self.screen_, self.tabs, self.side):
            part.setVisible(scene is not None)
        self.words.set_visible(scene is not None and not scene.live)
        self.live_words.set_visible(scene is not None and scene.live)
        self.next_.setVisible(scene is not None and scene.live and state.hand.next is not None)
        self.graph.setVisible(scene is not None and state.panel == 0)
        if scene is None or view is None:
            self.setAccessibleDescription(NO_WALL.format(self._around.keys["wall.new_layer"]))
            self.update_between()
            return
        self.setAccessibleDescription(f"{view.title}. {view.line}")
        layers = ", ".join(row.name for row in view.rows) or "nothing"
        self.screen_.setAccessibleDescription(f"from the front: {layers}")
        most = ", ".join(f"{p.most} of {p.limit} channels in {p.name}" for p in view.pools)
        self.graph.setAccessibleDescription(f"at most {most}")
        self.screen_.uses = view.uses if len(view.pools) > 1 else ()
        self.graph.show_view(view)
        self.tabs.show_tab(state.panel)
        self.words.rename("wall.play", "stop" if state.rehearsal.playing else ACTIONS["wall.play"].word)
        found = (state.meant or scene).layer(state.chosen)
        why = "" if found is None else self.projector.why(found[1].source)
        sentence = side_sentence(state.meant or scene, state.chosen, why, self._around.keys)
        self.side.show_view(view, state.chosen, state.fields, sentence)
        if state.panel == 0:
            self.channels.show_view(view, self.projector.troubles)
        elif state.panel == 1:
            self.sent.show_scene(scene)
        elif state.panel == 2:
            self.faults.show_scene(scene, state.faults, state.history)
        elif state.panel == 3:
            surface = scene.surface(state.chosen, state.surface)
            level = self.projector.counters().level if surface is scene.wall else None
            self.facts.show_wall(surface, level, len(scene.show.surfaces) > 1)
        elif state.panel == SETUP:
            self.setup.show_show(scene.show, self.projector.troubles)
        elif state.panel == CAMERAS:
            self.cameras.show_scene(scene)
        self._lay_out()
        trouble, counted = self.controller.transport.trouble, self.projector.counters()
        if self._between.look(state, self._around.keys, counted, trouble, time.monotonic()):
            self.update_between()

    def _lay_out(self) -> None:
        scene, k = self.state.scene, self.scale()
        if scene is None:
            return
        seen = None if self.state.seat is None else len(self.state.seat_lines)
        pools = len(scene.budgets)
        at = wall_layout(self.width(), self.height(), k, scene.spread.wall, scene.live, pools, seen)
        if at.screen != self.screen_.geometry():
            self.update()  # what was written where a widget stands now, and the other way round
        self.screen_.setGeometry(at.screen)
        self.next_.setGeometry(at.next)
        self.graph.setGeometry(at.graph)
        self.channels.setGeometry(at.under_graph)
        for panel in (self.sent, self.faults, self.facts, self.grid, self.setup, self.cameras):
            panel.setGeometry(at.foot)
        self.side.setGeometry(at.side.toRect())
        self.tabs.fit(k, 26)
        self.tabs.move(at.foot.left(), int(at.tabs_y - (4 + OVER_PX) * k))
        least = self.tabs.geometry().right() + 10 * k
        words = self.live_words if scene.live else self.words
        words.place_to(at.foot.right(), at.tabs_y - 8 * k, k, least)

    def draw(self, paper: Paper) -> None:
        scene, view, k, keys = self.state.scene, self.state.view, paper.px, self._around.keys
        if scene is None or view is None:
            words = NO_WALL.format(keys["wall.new_layer"])
            paper.text(k(28), k(60), words, "body", "quiet", room=paper.width - k(56))
            return
        used = paper.text(k(28), k(44), view.title, "title", "strong", "semibold", room=paper.width * 0.4)
        line = view.place if scene.live else view.line
        x = k(48) + used
        if not scene.live:
            draw_top(paper, x, line, paper.width - k(32))
        else:
            x += paper.text(x, k(44), line, "small", "quiet", room=paper.width - x - k(32)) + k(30)
            paper.wrapped(x, k(44), away_line(scene, keys), paper.width - x - k(32), "small", "caution", 2)
            side = self.state.hand.side
            draw_on(paper, self.screen_.geometry(), on_head(scene), side == "on")
            draw_next(paper, self.next_.geometry(), next_head(self.state.hand.next), side == "next")
        if self._around.running() and self.state.store.tonight is not None:
            draw_where(paper, True, keys["book.tonight"], k(38))
        box, room = self.screen_.geometry(), paper.width - k(SIDE_PX + 56)
        if self.state.seat is not None:
            paper.text(
                box.left(), box.bottom() + k(24), self.state.seat_words, "small", "text", room=box.width()
            )
            x, top = box.right() + k(18), box.top() + k(18)
            draw_seen(paper, x, top, k(SEEN_PX - 18), box.bottom(), self.state.seat_lines)
        under = self.screen_.area(scene.wall.id)
        # Their names stand under the main wall, unless another surface does.
        lowest = self.state.seat is None and under.bottom() > box.height() - k(30)
        inputs = input_words(scene.wall) if lowest else ()
        for middle, share, words in inputs:
            x, wide = box.left() + under.left() + middle * under.width(), share * under.width() - k(8)
            paper.text(x, box.bottom() + k(24), words, "tiny", "quiet", align="centre", room=wide)
        y = box.bottom() + k(54)
        words = self._between.status
        said, tone = self.said.words, "text" if self.said.tone == "quiet" else self.said.tone
        if not said and scene.other:
            said, tone = f"B: {scene.other} ({keys['wall.compare']}: A, tonight's)", "caution"
        draw_under(paper, y, room, words, said, tone)

    # Between the widgets

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.controller.let_go()

    def contextMenuEvent(self, _event: QContextMenuEvent) -> None:
        self._around.menu("look" if self.state.chosen is None else "layer")

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self._lay_out()
