"""The book: the running order, the chosen item's strip, the form of what is chosen, all to be changed."""

import time
from collections.abc import Callable
from fractions import Fraction

from showcaller.calling.runbook import RunBook
from showcaller.calling.sideview import Figure
from showcaller.desk.areas.book.acts import BookActs, Chosen, Taps
from showcaller.desk.areas.book.fieldedit import FieldEdit
from showcaller.desk.areas.book.form import Row, draw_form, lay_out, row_at
from showcaller.desk.areas.book.keys import BOOK_KEYS, BUTTONS
from showcaller.desk.areas.book.order import OrderGround, draw_order, order_ground
from showcaller.desk.areas.book.paging import Pages, Surroundings
from showcaller.desk.areas.book.reference import ReferencePeaks
from showcaller.desk.areas.book.sending import Sending
from showcaller.desk.areas.book.strip import Dragged, Ground, Window, draw_strip
from showcaller.desk.areas.book.stripview import StripView, strip_view
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.signs import SignSheet
from showcaller.desk.qt import (
    QAccessible,
    QAccessibleEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPointF,
    QPushButton,
    QRectF,
    Qt,
    QWheelEvent,
)
from showcaller.desk.theme import theme
from showcaller.desk.workbook import Workbook
from showcaller.editing import ChangeError
from showcaller.editing.cues import item_at
from showcaller.editing.finding import find_in_book
from showcaller.editing.forms import (
    Edited,
    FieldText,
    cue_fields,
    edit_cue,
    edit_item,
    edit_show,
    item_fields,
    show_fields,
)
from showcaller.editing.forms.messages import message_hint, parse_message
from showcaller.editing.placing import cue_name
from showcaller.editing.running_order import place_of
from showcaller.editing.snapping import anchor_near, moved_anchor
from showcaller.engine.sendonce import bytes_text
from showcaller.model import Cue, Show
from showcaller.model.references import item_with_cue
from showcaller.timing.calls import item_sheet
from showcaller.timing.plan import PlannedItem, compile_item

Ask = Callable[..., None]
SAID_S = 12.0
"""How long what was done, or why not, stays at the foot."""
FINE = Fraction(1, 4)
"""The grid while Shift is held: sixteenths in 4/4."""


class BookArea(Sheet):
    """Up and down choose the item, left and right the cue; everything else is in ``BOOK_KEYS``."""

    def __init__(
        self, workbook: Workbook, ask: Ask, around: Surroundings, live: Callable[[], bool] = lambda: False
    ) -> None:
        super().__init__("Book: the plan, item by item")
        self.workbook = workbook
        self.pages = Pages(self, around)
        self.ask = ask
        self._live = live
        show = workbook.show_now
        self.chosen = Chosen(show.items[0].id)
        self.acts = BookActs(workbook, self.chosen)
        self.forecast: tuple[Figure, ...] = ()
        self.window_s: Window | None = None
        self._of_show = False
        self._view: StripView | None = None
        self._planned: PlannedItem | None = None
        self._ground: Ground | None = None
        self._order: OrderGround | None = None
        self._rows: tuple[Row, ...] = ()
        self._signs = SignSheet()
        self._said: tuple[str, str, float] = ("", "quiet", 0.0)
        self._pressed: tuple[str, int, QPointF] | None = None
        self._dragged: Dragged | None = None
        self._order_to: int | None = None
        self._peaks = ReferencePeaks(self.update)
        self._sending = Sending(self.say)
        self.field = FieldEdit(self)
        self.buttons = [self._button(name) for name in BUTTONS]
        self._chords = {QKeySequence(key).toString(): name for name, (key, _, _) in BOOK_KEYS.items()}
        self._acts: dict[str, Callable[[], object]] = self._table()
        workbook.changed.connect(self._changed)
        self._refresh()

    # What is shown

    @property
    def show_now(self) -> Show:
        """The show as it is edited."""
        return self.workbook.show_now

    def show_book(self, book: RunBook, item: int | None = None) -> None:
        """Follow a run to the item that is on, if one is given."""
        if item is not None and 0 <= item < len(book.program.items):
            wanted = book.program.items[item].planned.item.id
            if any(i.id == wanted for i in self.show_now.items):
                self._choose_item(wanted)

    def show_ends(self, ends: tuple[Figure, ...]) -> None:
        """Show when the show will end; the last second is of no interest here."""
        if [f.value[:5] for f in ends] != [f.value[:5] for f in self.forecast]:
            self.forecast = ends
            self.update()

    def say(self, words: str, tone: str = "quiet") -> None:
        """A line at the foot."""
        self._said = (words, tone, time.monotonic())
        self.update()

    def _changed(self) -> None:
        """The show was changed, here or by an undo: what is chosen may be gone."""
        show = self.show_now
        ids = [item.id for item in show.items]
        if self.chosen.item not in ids:
            self.chosen.item, self.chosen.cue = ids[0], None
        if self.chosen.cue is not None and item_with_cue(show, self.chosen.cue) is None:
            self.chosen.cue = None
        self._refresh()

    def _refresh(self) -> None:
        show = self.show_now
        index = place_of(show, self.chosen.item)
        item = show.items[index]
        self._planned = compile_item(item, show.timecode_rate)
        self._view = strip_view(show, self._planned, item_sheet(show, index))
        if self.window_s is not None:
            self.window_s = self.window_s.inside(float(item.length_s))
        self._peaks.want(self.workbook.folder, getattr(item, "reference", None))
        self.pages.refresh()
        self._tell()
        self.update()

    def _tell(self) -> None:
        """For a screen reader: what is chosen, with all its fields."""
        assert self._view is not None
        if self.pages.now is not None:
            self.setAccessibleDescription(self.pages.now.spoken())
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))
            return
        cue = self._cue()
        title = self._view.title if cue is None else cue_name(self.show_now, cue)
        fields = ", ".join(f"{f.label} {f.text}" for f in self.fields() if f.text and f.label)
        self.setAccessibleDescription(f"{title}. {self._view.facts if cue is None else ''} {fields}")
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))

    def _cue(self) -> Cue | None:
        assert self._planned is not None
        found = [c.cue for c in self._planned.cues if c.cue.id == self.chosen.cue]
        return found[0] if found else None

    def _cue_index(self) -> int | None:
        assert self._planned is not None
        found = [n for n, c in enumerate(self._planned.cues) if c.cue.id == self.chosen.cue]
        return found[0] if found else None

    def fields(self) -> tuple[FieldText, ...]:
        """The form of what is chosen."""
        if self._of_show:
            return show_fields(self.show_now)
        if self.chosen.cue is not None and self._cue() is not None:
            return cue_fields(self.show_now, self.chosen.cue)
        return item_fields(self.show_now, self.chosen.item)

    # Choosing

    def choose(self, items: int, cues: int) -> None:
        """Choose another item or cue."""
        assert self._planned is not None
        self._of_show = False
        if items:
            index = place_of(self.show_now, self.chosen.item) + items
            self._choose_item(self.show_now.items[max(0, min(len(self.show_now.items) - 1, index))].id)
        if cues and self._planned.cues:
            here = self._cue_index()
            last = len(self._planned.cues) - 1
            index = (0 if cues > 0 else last) if here is None else max(0, min(last, here + cues))
            self._choose_cue(self._planned.cues[index].cue.id)

    def _choose_item(self, item_id: str) -> None:
        if item_id != self.chosen.item:
            self.window_s = None
        self.chosen.item, self.chosen.cue, self._of_show = item_id, None, False
        self._refresh()

    def _choose_cue(self, cue_id: str | None) -> None:
        self.chosen.cue, self._of_show = cue_id, False
        index = self._cue_index()
        if self.window_s is not None and index is not None and self._planned is not None:
            at_s, length_s = float(self._planned.cues[index].at_s), float(self._planned.item.length_s)
            self.window_s = self.window_s.showing(at_s, length_s)
        self._tell()
        self.update()

    def go_to(self, item_id: str, cue_id: str | None) -> None:
        """Choose a place in the book."""
        self._choose_item(item_id)
        if cue_id is not None:
            self._choose_cue(cue_id)

    # Acting

    def attempt(self, act: Callable[[], object]) -> bool:
        """Do something to the show; what came of it, or why not, stands at the foot."""
        before = (self.chosen.item, self.chosen.cue)
        try:
            words = act()
        except ChangeError as error:
            self.say(str(error), "caution")
            return False
        if before != (self.chosen.item, self.chosen.cue):
            self._refresh()
        if isinstance(words, str):
            self.say(words)
        return True

    def _table(self) -> dict[str, Callable[[], object]]:
        acts = self.acts
        return {
            "edit": lambda: self.open_field(0),
            "new_cue": self._ask_new_cue,
            "new_item": self._ask_new_item,
            "find": self._ask_find,
            "undo": lambda: self._back(self.workbook.undo(), "taken back: {}", "nothing to take back"),
            "redo": lambda: self._back(self.workbook.redo(), "made again: {}", "nothing to make again"),
            "copy": lambda: self.attempt(acts.copy),
            "cut": lambda: self.attempt(lambda: acts.copy(cut=True)),
            "paste": lambda: self.attempt(acts.paste),
            "remove": lambda: self.attempt(acts.remove),
            "up": lambda: self.attempt(lambda: acts.move_item(-1)),
            "down": lambda: self.attempt(lambda: acts.move_item(1)),
            "out": lambda: self.attempt(acts.toggle_out),
            "split": lambda: self.attempt(acts.split),
            "renumber": self._ask_renumber,
            "tap": self._ask_tempo,
            "length": self._ask_length,
            "send": lambda: self.attempt(self._send),
            "closer": lambda: self._zoom(1.5),
            "further": lambda: self._zoom(1 / 1.5),
            "whole": self._whole,
            "show": self._show_form,
            "import": self.pages.ask_file,
            "export": self.pages.give_out,
            "editions": self.pages.editions,
            "day": self.pages.day,
            "check": self.pages.check,
        }

    def key(self, event: QKeyEvent) -> bool:
        """Take a key; False if it is none of the book's."""
        if self.pages.key(event):
            return True
        if (
            event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right)
            and event.modifiers() & Qt.KeyboardModifier.AltModifier
        ):
            by = -1 if event.key() == Qt.Key.Key_Left else 1
            bars = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self.attempt(lambda: self.acts.nudge(by * (self.acts.bar_beats() if bars else 1)))
            return True
        name = self._chords.get(QKeySequence(event.keyCombination()).toString())
        if event.key() == Qt.Key.Key_Enter and not event.modifiers():
            name = "edit"
        if event.key() == Qt.Key.Key_Tab and not event.modifiers():
            name = "edit"
        if name is None or name not in self._acts:
            return False
        if not self.pages.act(name):
            self._acts[name]()
        return True

    def _back(self, words: str | None, done: str, nothing: str) -> None:
        self.say(nothing if words is None else done.format(words))

    def _ask_new_cue(self) -> None:
        def suggest(text: str) -> str:
            try:
                department, place, label = self.acts.read_new_cue(text)
            except ChangeError as error:
                return str(error)
            return f"{self.show_now.department(department).name} at {place}: {label or 'new cue'}"

        self._ask_and_do("New cue: who, when, what", self.acts.new_cue_typed, suggest=suggest)

    def _ask_new_item(self) -> None:
        hint = "a name, and a length if known: Iron Gulls 4:36. Or first: talk, walk-on, changeover, interval"
        self._ask_and_do("New item after this one", self.acts.new_item_typed, hint)

    def _ask_renumber(self) -> None:
        hint = "lights 12 to 40 from 100 by 10. What follows a cue goes on following it"
        self._ask_and_do(
            "Number cues anew: who, first, last, new first, step", self.acts.renumber_typed, hint
        )

    def _ask_find(self) -> None:
        def suggest(text: str) -> str:
            found = find_in_book(self.show_now, text)
            if not text.strip():
                return "an item's name, a cue such as 'lights 12.5', or a word of what happens"
            return (
                "\n".join(f"{'Enter: ' if n == 0 else '           '}{f.words}" for n, f in enumerate(found))
                or "nothing matches"
            )

        def done(text: str) -> str | None:
            found = find_in_book(self.show_now, text, 1)
            if not found:
                return "nothing matches; Escape leaves"
            self.go_to(found[0].item, found[0].cue)
            return None

        self.ask("Find in the book", done, suggest=suggest)

    def _ask_tempo(self) -> None:
        taps = Taps()

        def suggest(text: str) -> str:
            taps.typed(text)
            bpm = taps.tempo()
            return (
                "tap any letter on the beat, Enter takes it"
                if bpm is None
                else f"{bpm:g} beats a minute, {len(taps.taps_s)} taps"
            )

        def done(_: str) -> str | None:
            if taps.tempo() is None:
                return "tap at least twice"
            self.attempt(lambda: self.acts.take_tempo(taps.taps_s))
            return None

        self.ask("Tap the tempo", done, suggest=suggest)

    def _ask_length(self) -> None:
        taps = Taps()

        def suggest(text: str) -> str:
            taps.typed(text)
            length = taps.length_s()
            return (
                "tap any letter at the start and at the end, Enter takes it"
                if length is None
                else f"{float(length):.1f} s"
            )

        def done(_: str) -> str | None:
            length = taps.length_s()
            if length is None:
                return "tap once at the start and once at the end"
            self.attempt(lambda: self.acts.take_length(length))
            return None

        self.ask("Tap the length", done, suggest=suggest)

    def _ask_and_do(
        self, question: str, act: Callable[[str], str], hint: str = "", suggest: object = None
    ) -> None:
        def done(text: str) -> str | None:
            try:
                words = act(text)
            except ChangeError as error:
                return str(error)
            self._refresh()
            self.say(words)
            return None

        self.ask(question, done, hint, suggest)

    def _send(self) -> str:
        if self._live():
            raise ChangeError("a run is live: the engine alone sends now; 'send once' is for rehearsals")
        cue = self._cue()
        if cue is None or not cue.messages:
            raise ChangeError("the chosen cue sends nothing" if cue is not None else "no cue is chosen")
        return self._sending.send(self.show_now, cue.messages)

    def _show_form(self) -> None:
        self._of_show = True
        self.chosen.cue = None
        self._tell()
        self.update()

    # Typing into fields

    def type_line(self, rect: QRectF, name: str, text: str, commit: Callable[[str], str | None]) -> None:
        """Type one line of a page."""
        self.field.open(rect, name, text, commit, lambda _: None, lambda _: name)

    def tell(self) -> None:
        """Draw anew, and say it to a screen reader."""
        self._tell()
        self.update()

    def open_field(self, index: int) -> None:
        """Open a field of the form for typing."""
        fields = self.fields()
        index %= len(fields)
        field = fields[index]
        self._lay_out()
        row = next(r for r in self._rows if r.index == index)
        self.field.open(
            row.value,
            f"{field.label or 'sends'}: {field.hint}",
            field.text,
            lambda text: self._take_field(field.key, text),
            lambda by: self.open_field(index + by),
            lambda text: self._live_hint(field, text),
        )
        self.update()

    def _live_hint(self, field: FieldText, text: str) -> str:
        if not field.key.startswith("message:") or not text.strip():
            return field.hint
        try:
            part = parse_message(self.show_now, text)
            message = Cue.model_validate(_CARRIER | {"messages": [part]}).messages[0]
        except (ChangeError, ValueError):
            return message_hint(self.show_now, text)
        return bytes_text(message, self.show_now.timecode_rate)

    def _take_field(self, key: str, text: str) -> str | None:
        """None once the field is taken, else what is wrong."""
        try:
            if self.workbook.read_only is not None:
                return self.workbook.read_only
            if key == "reference":
                if text.strip() != (
                    getattr(item_at(self.show_now, self.chosen.item), "reference", None) or ""
                ):
                    self.acts.take_reference(text.strip())
                edited = Edited("", None)
            elif self._of_show:
                edited = edit_show(self.show_now, key, text)
            elif self.chosen.cue is not None:
                edited = edit_cue(self.show_now, self.chosen.cue, key, text)
            else:
                edited = edit_item(self.show_now, self.chosen.item, key, text)
            if edited.change is not None:
                self.workbook.do(edited.words, edited.change)
                self.say(edited.words)
        except ChangeError as error:
            return str(error)
        return None

    # Zoom

    def _zoom(self, factor: float, about_s: float | None = None) -> None:
        assert self._planned is not None
        length_s = float(self._planned.item.length_s)
        window = self.window_s or Window(0.0, length_s)
        index = self._cue_index()
        if about_s is None:
            about_s = (
                float(self._planned.cues[index].at_s)
                if index is not None
                else window.start_s + window.span_s / 2
            )
        window = window.zoomed(factor, about_s, length_s)
        self.window_s = None if window.span_s >= length_s else window
        self.update()

    def _whole(self) -> None:
        self.window_s = None
        self.update()

    # Mouse

    def wheelEvent(self, event: QWheelEvent) -> None:
        ground, planned = self._ground, self._planned
        if self.pages.wheel(event):
            return
        if ground is None or planned is None or event.position().x() < ground.left - 200:
            step = -1 if event.angleDelta().y() > 0 else 1
            self.choose(step, 0)
            return
        turned = event.angleDelta().y() or event.angleDelta().x()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._zoom(1.2 ** (turned / 120), ground.at_s(event.position().x()))
        elif self.window_s is not None:
            by_s = -turned / 120 * self.window_s.span_s * 0.12
            self.window_s = self.window_s.moved(by_s, float(planned.item.length_s))
            self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        self.window().setFocus()
        if self.pages.click(at):
            return
        if self.field.is_open() and not self.field.take():
            return
        if (index := self._order.index(at.x(), at.y()) if self._order else None) is not None:
            self._choose_item(self.show_now.items[index].id)
            self._pressed = ("item", index, at)
        elif self._ground is not None and self._view is not None and self._in_strip(at):
            cue = self._ground.cue_near(self._view, at.x(), at.y(), 14 * self.scale())
            if cue is not None and self._planned is not None:
                self._choose_cue(self._planned.cues[cue].cue.id)
                self._pressed = ("cue", cue, at)
            else:
                self._choose_cue(None)
        elif (row := row_at(self._rows, at)) is not None:
            self.open_field(row.index)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pressed is None:
            return
        what, index, started = self._pressed
        at = event.position()
        if self._dragged is None and self._order_to is None and (at - started).manhattanLength() < 5:
            return
        if what == "item" and self._order is not None:
            row = round((at.y() - self._order.top) / self._order.step) + self._order.first
            self._order_to = max(0, min(len(self.show_now.items), row))
        elif self._ground is not None and self._planned is not None:
            at_s = self._ground.at_s(max(self._ground.left, min(self._ground.right, at.x())))
            self._dragged = self._drag_to(index, at_s, self._step_of(event))
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        pressed, dragged, to = self._pressed, self._dragged, self._order_to
        self._pressed, self._dragged, self._order_to = None, None, None
        if pressed is not None and dragged is not None:
            self.attempt(lambda: self.acts.drag(pressed[1], dragged.at_s, self._step_of(event)))
        elif pressed is not None and to is not None:
            by = (to if to <= pressed[1] else to - 1) - pressed[1]
            if by:
                self.attempt(lambda: self.acts.move_item(by))
        self.update()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        self._pressed = None
        if self.pages.now is not None and at.x() > 340 * self.scale():
            return
        if self._order is not None and self._order.index(at.x(), at.y()) is not None:
            self.open_field(0)
            return
        if self._ground is None or self._view is None or self._planned is None or not self._in_strip(at):
            return
        if self._ground.cue_near(self._view, at.x(), at.y(), 14 * self.scale()) is not None:
            self.open_field(0)
            return
        lane = self._ground.lane(at.y())
        if lane is None:
            return
        department = self._view.lanes[lane].id
        at_s = self._ground.at_s(at.x())
        anchor = anchor_near(self._planned, at_s, self._step_of(event))
        if self.attempt(lambda: self.acts.new_cue(department, anchor, Fraction(round(at_s * 1000), 1000))):
            self.open_field(0)

    def _in_strip(self, at: QPointF) -> bool:
        ground = self._ground
        return (
            ground is not None
            and ground.left - 16 <= at.x() <= ground.right + 16
            and ground.lanes <= at.y() <= ground.bottom
        )

    def _step_of(self, event: QMouseEvent) -> Fraction:
        return FINE if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else Fraction(1)

    def _drag_to(self, cue: int, at_s: float, step: Fraction) -> Dragged:
        assert self._planned is not None
        anchor = moved_anchor(self._planned, self._planned.cues[cue], at_s, step)
        if anchor["at"] != "bar":
            return Dragged(cue, round(at_s, 1), f"{at_s:.1f} s")
        words = f"bar {anchor['bar']} / {anchor['beat']}"
        return Dragged(cue, float(self.acts.falls(anchor)), words)

    # Drawing

    def _button(self, name: str) -> QPushButton:
        key, short, words = BOOK_KEYS[name]
        button = QPushButton(short, self)
        button.setAccessibleName(f"{short}: {words}")
        button.setToolTip(f"{words}  ({key})")
        # A click must not take the focus from the show's keys.
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.setFlat(True)
        button.clicked.connect(lambda: self._acts[name]() if name in self._acts else None)
        return button

    def _place_buttons(self) -> None:
        k = self.scale()
        right = self.width() - 28 * k
        for button in reversed(self.buttons):
            button.setStyleSheet(
                f"QPushButton {{ color: {theme().text}; background: {theme().raised}; border: none;"
                f" padding: {4 * k:.0f}px {12 * k:.0f}px; font: 500 {max(11, 17 * k):.0f}px Inter; }}"
                f" QPushButton:hover {{ background: {theme().line}; }}"
                f" QPushButton:focus {{ border: 1px solid {theme().accent}; }}"
            )
            button.adjustSize()
            right -= button.width()
            button.move(int(right), int(24 * k))
            right -= 8 * k

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self._place_buttons()
        if self.field.is_open():
            self.field.leave()

    def _lay_out(self) -> None:
        k = self.scale()
        left, right = 472 * k, self.width() - 28 * k
        view = self._view
        assert view is not None
        top = 98 * k
        lanes = top + 100 * k
        count = max(1, len(view.lanes))
        step = min(58 * k, max(24 * k, (self.height() - lanes - 470 * k) / count))
        length_s = view.length_s
        self._ground = Ground(left, right, top, lanes, step, count, self.window_s or Window(0.0, length_s))
        self._order = order_ground(self.show_now, place_of(self.show_now, self.chosen.item), self.height(), k)
        form_top = self._ground.bottom + (54 + 30 * min(2, len(view.collisions)) + 44) * k
        self._rows = lay_out(self.fields(), QRectF(352 * k, form_top, right - 352 * k, 400 * k), k)

    def draw(self, paper: Paper) -> None:
        view = self._view
        if view is None:
            return
        k = paper.px
        self._lay_out()
        assert self._ground is not None
        assert self._order is not None
        paper.text(k(28), k(44), view.title, "title", "strong", "semibold", room=k(900))
        paper.text(k(28), k(76), view.facts, "small", "quiet", room=paper.width - k(60))
        chosen = place_of(self.show_now, self.chosen.item)
        draw_order(paper, self.show_now, self._order, chosen, self._order_to, self.forecast)
        if self.pages.now is not None:
            self.pages.now.draw(paper, QRectF(k(352), k(96), paper.width - k(380), paper.height - k(140)))
            self._foot(paper)
            return
        end = draw_strip(
            paper, view, self._ground, self._signs, self._cue_index(), self._dragged, self._peaks.now
        )
        y = end + k(4)
        for sentence in view.collisions[:2]:
            paper.text(
                self._ground.left,
                y + k(20),
                sentence,
                "small",
                "caution",
                room=self._ground.right - self._ground.left,
            )
            y += k(30)
        cue = self._cue()
        heading = (
            "the show" if self._of_show else view.title if cue is None else f"{cue_name(self.show_now, cue)}"
        )
        top = self._rows[0].value.top() if self._rows else y
        paper.heading(k(352), top - k(16), heading)
        rate = self.show_now.timecode_rate
        bytes_of = (
            {}
            if cue is None
            else {f"message:{n}": bytes_text(m, rate, 12) for n, m in enumerate(cue.messages)}
        )
        draw_form(paper, self._rows, None, bytes_of)
        self._foot(paper)

    def _foot(self, paper: Paper) -> None:
        k = paper.px
        words, tone, since = self._said
        if words and time.monotonic() - since < SAID_S:
            paper.text(k(28), paper.height - k(16), words, "small", tone, "medium", room=paper.width - k(56))
        elif self.workbook.read_only:
            paper.text(k(28), paper.height - k(16), self.workbook.read_only, "small", "caution")
        else:
            hint = "Enter: type into the fields · drag a cue · double-click a lane: new cue · ? all keys"
            paper.text(k(28), paper.height - k(16), hint, "tiny", "faint")


_CARRIER = {
    "id": "x", "department": "x", "number": "1", "label": "x", "anchor": {"at": "time", "seconds": 0},
}  # fmt: skip
"""A cue to check a message in while it is typed."""
