"""The strip of the chosen item: its geometry, its painting and its mouse."""

from fractions import Fraction

from showcaller.calling.wording import span
from showcaller.desk.areas.book.ground import Ground
from showcaller.desk.areas.book.state import BookState
from showcaller.desk.areas.book.strip import Dragged, draw_strip
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.signs import SignSheet
from showcaller.desk.qt import (
    QEvent,
    QHelpEvent,
    QMouseEvent,
    QPointF,
    Qt,
    QToolTip,
    QWheelEvent,
    QWidget,
    Signal,
)
from showcaller.editing.placing import cue_name
from showcaller.editing.snapping import falls_at, moved_anchor
from showcaller.model import Show
from showcaller.timing.plan import PlannedItem

FINE = Fraction(1, 4)
"""The grid while Shift is held: sixteenths in 4/4."""
REACH_PX = 14
"""How near to a mark the mouse takes it, px at 1920×1080."""
LANES_AT = 132
"""Where the lanes begin, px from the left at 1920×1080; before them stand their names."""
BESIDE = 16
"""Room at the right for half a mark."""
UNDER = 114
"""What stands under the lanes: the caller's load, and room for two warnings."""
SPOKEN_LEVEL = 100
"""Over the lanes: sections, bars, tempo."""
SUNG = 36
"""And, where there are lyrics, a row of words."""


class SongStrip(Sheet):
    """Emits what a hand wants with the strip.

    ``chose`` a cue by its id, or none; ``opened`` the chosen one to type into it; ``dropped`` a cue (its
    id, the second, the grid); ``placed`` a new cue (department, second, grid); ``zoomed`` (factor, about
    a second); ``scrolled`` by seconds.
    """

    chose = Signal(object)
    opened = Signal()
    dropped = Signal(str, float, object)
    placed = Signal(str, float, object)
    zoomed = Signal(float, float)
    scrolled = Signal(float)

    def __init__(self, state: BookState, parent: QWidget) -> None:
        super().__init__("Song strip", parent)
        self._state = state
        self.ground: Ground | None = None
        self.dragged: Dragged | None = None
        self._pressed: tuple[str, QPointF] | None = None
        self._signs = SignSheet()

    def lay_out(self, room: float) -> float:
        """Measure: lanes as high as fit into ``room`` px; how high the strip is with them."""
        view, k = self._state.view, self.scale()
        if view is None:
            return 0.0
        lanes, count = (SPOKEN_LEVEL + (SUNG if view.lyrics else 0)) * k, max(1, len(view.lanes))
        step = min(58 * k, max(22 * k, room / count))
        left = LANES_AT * k
        self.ground = Ground(left, self.width() - BESIDE * k, 0.0, lanes, step, count, self._state.zoom.now)
        return lanes + step * count + UNDER * k

    def draw(self, paper: Paper) -> None:
        view, ground = self._state.view, self._ground()
        if view is None or ground is None:
            return
        k = paper.px
        index = self._state.cue_index()
        end = draw_strip(paper, view, ground, self._signs, index, self.dragged, self._state.peaks.now)
        y = end + k(4)
        for sentence in view.collisions[:2]:
            paper.text(ground.left, y + k(20), sentence, "small", "caution", room=ground.right - ground.left)
            y += k(30)

    def _ground(self) -> Ground | None:
        """Where things are with the stretch that is in view now."""
        ground = self.ground
        if ground is not None and ground.window != self._state.zoom.now:
            ground = self.ground = ground.showing(self._state.zoom.now)
        return ground

    # The mouse

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.turn(event, event.position().x())

    def turn(self, event: QWheelEvent, x: float) -> None:
        """The wheel, the mouse at ``x`` px of the strip: along it, closer with Ctrl."""
        ground = self._ground()
        if ground is None:
            return
        turned = event.angleDelta().y() or event.angleDelta().x()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoomed.emit(1.2 ** (turned / 120), ground.at_s(x))
        else:
            self.scrolled.emit(-turned / 120 * ground.window.span_s * 0.12)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return  # the right button opens a menu
        at, self._pressed = event.position(), None
        ground = self._ground()
        if ground is None or ground.lane(at.y()) is None:
            return
        cue = self._id_of(self._cue_at(at))
        self.chose.emit(cue)
        if cue is not None and self._state.chosen.cue == cue:  # it was not refused
            self._pressed = (cue, at)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        ground, planned = self._ground(), self._state.planned
        if self._pressed is None or ground is None or planned is None:
            return
        cue, started = self._pressed
        at = event.position()
        if self.dragged is None and (at - started).manhattanLength() < 5:
            return
        at_s = ground.at_s(max(ground.left, min(ground.right, at.x())))
        # By its id: while it is dragged a key may have changed the item, or chosen another.
        index = next((n for n, c in enumerate(planned.cues) if c.cue.id == cue), None)
        self.dragged = None if index is None else landing(planned, index, at_s, _grid(event))
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        pressed, dragged = self._pressed, self.dragged
        self._pressed, self.dragged = None, None
        if pressed is not None and dragged is not None:
            self.dropped.emit(pressed[0], dragged.at_s, _grid(event))
        self.update()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        at, ground, view = event.position(), self._ground(), self._state.view
        self._pressed = None
        if ground is None or view is None:
            return
        if self._cue_at(at) is not None:
            self.opened.emit()
        elif (lane := ground.lane(at.y())) is not None:
            self.placed.emit(view.lanes[lane].id, ground.at_s(at.x()), _grid(event))

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            cue, planned = self._cue_at(event.pos().toPointF()), self._state.planned
            words = "" if cue is None or planned is None else cue_words(self._state.show_now, planned, cue)
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def choose_under(self, at: QPointF) -> None:
        """Choose the cue under the mouse, if there is one."""
        cue = self._cue_at(at)
        if cue is not None:
            self.chose.emit(self._id_of(cue))

    def _cue_at(self, at: QPointF) -> int | None:
        ground, view = self._ground(), self._state.view
        if ground is None or view is None or not ground.left - 16 <= at.x() <= ground.right + 16:
            return None
        return ground.cue_near(view, at.x(), at.y(), REACH_PX * self.scale())

    def _id_of(self, cue: int | None) -> str | None:
        planned = self._state.planned
        return None if cue is None or planned is None else planned.cues[cue].cue.id


def cue_words(show: Show, planned: PlannedItem, cue: int) -> str:
    """A cue under the mouse: its name, where it goes, what happens."""
    one = planned.cues[cue]
    return f"{cue_name(show, one.cue)} at {span(one.at_s)}: {one.cue.label}"


def landing(planned: PlannedItem, cue: int, at_s: float, grid: Fraction) -> Dragged:
    """Where a cue that is dragged to ``at_s`` would land, and in words."""
    anchor = moved_anchor(planned, planned.cues[cue], at_s, grid)
    if anchor["at"] != "bar":
        return Dragged(cue, round(at_s, 1), f"{at_s:.1f} s")
    return Dragged(cue, float(falls_at(planned, anchor)), f"bar {anchor['bar']} / {anchor['beat']}")


def _grid(event: QMouseEvent) -> Fraction:
    return FINE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else Fraction(1)
