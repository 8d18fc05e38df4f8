"""The mouse on the book: choosing, dragging cues and items, putting a new cue on a lane."""

from fractions import Fraction
from typing import TYPE_CHECKING

from showcaller.desk.areas.book.form import row_at
from showcaller.desk.areas.book.strip import Dragged
from showcaller.desk.qt import QMouseEvent, QPointF, Qt, QWheelEvent
from showcaller.editing.snapping import anchor_near, moved_anchor

if TYPE_CHECKING:
    from showcaller.desk.areas.book.area import BookArea

FINE = Fraction(1, 4)
"""The grid while Shift is held: sixteenths in 4/4."""


class Hand:
    """``dragged`` is the cue under the mouse."""

    def __init__(self, area: "BookArea") -> None:
        self._area = area
        self.dragged: Dragged | None = None
        self._pressed: tuple[int, QPointF] | None = None

    def wheel(self, event: QWheelEvent) -> None:
        """Along the strip, closer with Ctrl; over the running order another item."""
        ground, planned = self._area.ground, self._area.planned
        if self._area.pages.wheel(event):
            return
        if ground is None or planned is None or event.position().x() < ground.left - 200:
            step = -1 if event.angleDelta().y() > 0 else 1
            self._area.choose(step, 0)
            return
        turned = event.angleDelta().y() or event.angleDelta().x()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._area.zoom(1.2 ** (turned / 120), ground.at_s(event.position().x()))
        elif self._area.window_s is not None:
            by_s = -turned / 120 * self._area.window_s.span_s * 0.12
            self._area.window_s = self._area.window_s.moved(by_s, float(planned.item.length_s))
            self._area.update()

    def press(self, event: QMouseEvent) -> None:
        """Choose what is there, or type into the field."""
        at = event.position()
        if event.button() != Qt.MouseButton.LeftButton:
            return  # the right button opens a menu
        self._area.window().setFocus()
        if self._area.pages.click(at):
            return
        if self._area.typing.edit.is_open() and not self._area.typing.edit.take():
            return
        if self._area.ground is not None and self._area.view is not None and self._in_strip(at):
            cue = self._area.ground.cue_near(self._area.view, at.x(), at.y(), 14 * self._area.scale())
            if cue is not None and self._area.planned is not None:
                self._area.choose_cue(self._area.planned.cues[cue].cue.id)
                self._pressed = (cue, at)
            else:
                self._area.choose_cue(None)
        elif (row := row_at(self._area.rows, at)) is not None:
            self._area.typing.open(row.index)

    def move(self, event: QMouseEvent) -> None:
        """Drag."""
        if self._pressed is None:
            return
        index, started = self._pressed
        at = event.position()
        if self.dragged is None and (at - started).manhattanLength() < 5:
            return
        if self._area.ground is not None and self._area.planned is not None:
            at_s = self._area.ground.at_s(max(self._area.ground.left, min(self._area.ground.right, at.x())))
            self.dragged = self._drag_to(index, at_s, self._step_of(event))
        self._area.update()

    def release(self, event: QMouseEvent) -> None:
        """Let go."""
        pressed, dragged = self._pressed, self.dragged
        self._pressed, self.dragged = None, None
        if pressed is not None and dragged is not None:
            self._area.attempt(lambda: self._area.acts.drag(pressed[0], dragged.at_s, self._step_of(event)))
        self._area.update()

    def under(self, at: QPointF) -> str | None:
        """Choose what is under the mouse; ``cue`` or ``item``, None where a page is open."""
        if self._area.pages.now is not None:
            return None
        if self._area.ground is not None and self._area.view is not None and self._in_strip(at):
            cue = self._area.ground.cue_near(self._area.view, at.x(), at.y(), 14 * self._area.scale())
            if cue is not None and self._area.planned is not None:
                self._area.choose_cue(self._area.planned.cues[cue].cue.id)
        return "item" if self._area.chosen.cue is None else "cue"

    def twice(self, event: QMouseEvent) -> None:
        """A new cue on a lane; on a cue or an item, type into it."""
        at = event.position()
        self._pressed = None
        if self._area.pages.now is not None and at.x() > 340 * self._area.scale():
            return
        if (
            self._area.ground is None
            or self._area.view is None
            or self._area.planned is None
            or not self._in_strip(at)
        ):
            return
        if self._area.ground.cue_near(self._area.view, at.x(), at.y(), 14 * self._area.scale()) is not None:
            self._area.typing.open(0)
            return
        lane = self._area.ground.lane(at.y())
        if lane is None:
            return
        department = self._area.view.lanes[lane].id
        at_s = self._area.ground.at_s(at.x())
        anchor = anchor_near(self._area.planned, at_s, self._step_of(event))
        if self._area.attempt(
            lambda: self._area.acts.new_cue(department, anchor, Fraction(round(at_s * 1000), 1000))
        ):
            self._area.typing.open(0)

    def _in_strip(self, at: QPointF) -> bool:
        ground = self._area.ground
        return (
            ground is not None
            and ground.left - 16 <= at.x() <= ground.right + 16
            and ground.lanes <= at.y() <= ground.bottom
        )

    def _step_of(self, event: QMouseEvent) -> Fraction:
        return FINE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else Fraction(1)

    def _drag_to(self, cue: int, at_s: float, step: Fraction) -> Dragged:
        assert self._area.planned is not None
        anchor = moved_anchor(self._area.planned, self._area.planned.cues[cue], at_s, step)
        if anchor["at"] != "bar":
            return Dragged(cue, round(at_s, 1), f"{at_s:.1f} s")
        words = f"bar {anchor['bar']} / {anchor['beat']}"
        return Dragged(cue, float(self._area.acts.falls(anchor)), words)
