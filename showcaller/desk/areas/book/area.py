"""The book: the running order, the chosen item's strip, the form of what is chosen, all to be changed."""

import time
from collections.abc import Callable

from showcaller.calling.status_view import Figure
from showcaller.desk.areas.book.acts import BookActs, Chosen
from showcaller.desk.areas.book.asking import Asking
from showcaller.desk.areas.book.buttons import Buttons
from showcaller.desk.areas.book.face import Face
from showcaller.desk.areas.book.form import Row
from showcaller.desk.areas.book.hand import Hand
from showcaller.desk.areas.book.order_list import OrderList, order_lines
from showcaller.desk.areas.book.paging import Pages
from showcaller.desk.areas.book.reference import ReferencePeaks
from showcaller.desk.areas.book.sending import Sending
from showcaller.desk.areas.book.strip import Ground, Window
from showcaller.desk.areas.book.stripview import StripView
from showcaller.desk.areas.book.typing_in import Typing
from showcaller.desk.areas.book.workout import AT_ONCE, Worked, WorkingOut, work_out
from showcaller.desk.context import DeskContext
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import (
    QAccessible,
    QAccessibleEvent,
    QContextMenuEvent,
    QMouseEvent,
    QWheelEvent,
)
from showcaller.editing import ChangeError
from showcaller.editing.cues import cue_of
from showcaller.editing.forms import FieldText
from showcaller.editing.placing import cue_name
from showcaller.editing.running_order import place_of
from showcaller.engine.sendonce import bytes_text
from showcaller.model import Cue, Show
from showcaller.model.references import item_with_cue
from showcaller.run.runbook import RunBook
from showcaller.timing.plan import PlannedItem


class BookArea(Sheet):
    """``perform`` does what a key, a button, a menu or the palette asks for by name."""

    def __init__(self, store: DocumentStore, around: DeskContext) -> None:
        super().__init__("Book: the plan, item by item")
        self.store = store
        self.pages = Pages(self, around)
        self.ask = around.ask
        self.keys = around.keys
        self._around = around
        show = store.show_now
        self.chosen = Chosen(show.items[0].id)
        self.acts = BookActs(store, self.chosen, around.keys)
        self.asking = Asking(self)
        self.hand = Hand(self)
        self.forecast: tuple[Figure, ...] = ()
        self.window_s: Window | None = None
        self.of_show = False
        self.view: StripView | None = None
        self.planned: PlannedItem | None = None
        self.ground: Ground | None = None
        self.rows: tuple[Row, ...] = ()
        self.fields: tuple[FieldText, ...] = ()
        self.bytes_of: dict[str, str] = {}
        self.said: tuple[str, str, float] = ("", "quiet", 0.0)
        self.face = Face(self, around.running)
        self.peaks = ReferencePeaks(self.update, self)
        self._sending = Sending(self.say, self)
        self._working = WorkingOut(self._take, self)
        self.typing = Typing(self)
        self.order = OrderList(self)
        self.order.chose.connect(self._chose)
        self.order.typed.connect(lambda _: self.typing.open(0))
        self.order.moved.connect(self._moved)
        self.order.asked.connect(self._menu_of)
        self.buttons = Buttons(self, around.keys, self.perform)
        self._acts: dict[str, Callable[[], object]] = self._table()
        store.changed.connect(self._changed)
        self.refresh()

    # What is shown

    @property
    def show_now(self) -> Show:
        """The show as it is edited."""
        return self.store.show_now

    def show_book(self, book: RunBook, item: int | None = None) -> None:
        """Follow a run to the item that is on, if one is given."""
        if item is not None and 0 <= item < len(book.compiled.items):
            wanted = book.compiled.items[item].planned.item.id
            if any(i.id == wanted for i in self.show_now.items):
                self.choose_item(wanted)

    def show_ends(self, ends: tuple[Figure, ...]) -> None:
        """Show when the show will end; the last second is of no interest here."""
        if [f.value[:5] for f in ends] != [f.value[:5] for f in self.forecast]:
            self.forecast = ends
            self.update()

    def say(self, words: str, tone: str = "quiet") -> None:
        """A line at the foot."""
        self.said = (words, tone, time.monotonic())
        self.update()

    def _changed(self) -> None:
        """The show was changed, here or by an undo: what is chosen may be gone."""
        show = self.show_now
        ids = [item.id for item in show.items]
        if self.chosen.item not in ids:
            self.chosen.item, self.chosen.cue = ids[0], None
        if self.chosen.cue is not None and item_with_cue(show, self.chosen.cue) is None:
            self.chosen.cue = None
        self.refresh()

    def refresh(self) -> None:
        """Work out what is shown anew; a very full item beside the window, with the old strip until then."""
        show = self.show_now
        index = place_of(show, self.chosen.item)
        item = show.items[index]
        self._working.forget()
        if self.planned is None or self.planned.item.id != item.id or len(item.cues) <= AT_ONCE:
            self._take(work_out(show, index))
        else:
            self._working.want(show, index)
        self.peaks.want(self.store.folder, getattr(item, "reference", None))
        self.pages.refresh()
        self.tell()

    def _take(self, worked: Worked) -> None:
        if worked.item.id != self.chosen.item:
            return
        self.planned, self.view = worked.planned, worked.view
        if self.window_s is not None:
            self.window_s = self.window_s.inside(float(worked.item.length_s))
        self.tell()

    def _tell(self) -> None:
        """What is chosen, with all its fields: worked out once for the paper, and told to a screen reader."""
        assert self.view is not None
        self.order.show_order(order_lines(self.show_now), self.chosen.item)
        self.fields = self.typing.fields()
        chosen = self.cue()
        rate = self.show_now.timecode_rate
        sent = () if chosen is None or self.of_show else chosen.messages
        self.bytes_of = {f"message:{n}": bytes_text(m, rate, 12) for n, m in enumerate(sent)}
        if self.pages.now is not None:
            self.setAccessibleDescription(self.pages.now.spoken())
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))
            return
        cue = self.cue()
        title = self.view.title if cue is None else cue_name(self.show_now, cue)
        fields = ", ".join(f"{f.label} {f.text}" for f in self.fields if f.text and f.label)
        self.setAccessibleDescription(f"{title}. {self.view.facts if cue is None else ''} {fields}")
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))

    def cue(self) -> Cue | None:
        """The chosen cue, as the show has it: the strip of a very full item may still be on its way."""
        return None if self.chosen.cue is None else cue_of(self.show_now, self.chosen.cue)

    def cue_index(self) -> int | None:
        """Its place on the strip."""
        assert self.planned is not None
        found = [n for n, c in enumerate(self.planned.cues) if c.cue.id == self.chosen.cue]
        return found[0] if found else None

    # Choosing

    def choose(self, items: int, cues: int) -> None:
        """Choose another item or cue."""
        assert self.planned is not None
        self.of_show = False
        if items:
            index = place_of(self.show_now, self.chosen.item) + items
            self.choose_item(self.show_now.items[max(0, min(len(self.show_now.items) - 1, index))].id)
        if cues and self.planned.cues:
            here = self.cue_index()
            last = len(self.planned.cues) - 1
            index = (0 if cues > 0 else last) if here is None else max(0, min(last, here + cues))
            self.choose_cue(self.planned.cues[index].cue.id)

    def _chose(self, item_id: str) -> None:
        """A click on the running order: it also leaves what is being typed, and the open page."""
        self.window().setFocus()
        self.pages.clear()
        if not self.typing.edit.is_open() or self.typing.edit.take():
            self.choose_item(item_id)

    def _moved(self, item_id: str, by: int) -> None:
        self.choose_item(item_id)
        self.attempt(lambda: self.acts.move_item(by))

    def _menu_of(self, item_id: str) -> None:
        self.choose_item(item_id)
        self._around.menu("item")

    def choose_item(self, item_id: str) -> None:
        """Choose an item, and no cue in it."""
        if item_id != self.chosen.item:
            self.window_s = None
        self.chosen.item, self.chosen.cue, self.of_show = item_id, None, False
        self.refresh()

    def choose_cue(self, cue_id: str | None) -> None:
        """Choose a cue of the item, or none; it comes into view."""
        self.chosen.cue, self.of_show = cue_id, False
        index = self.cue_index()
        if self.window_s is not None and index is not None and self.planned is not None:
            at_s, length_s = float(self.planned.cues[index].at_s), float(self.planned.item.length_s)
            self.window_s = self.window_s.showing(at_s, length_s)
        self._tell()
        self.update()

    def go_to(self, item_id: str, cue_id: str | None) -> None:
        """Choose a place in the book."""
        self.choose_item(item_id)
        if cue_id is not None:
            self.choose_cue(cue_id)

    # Acting

    def close_down(self) -> None:
        """The desk closes: end what is being read."""
        for part in (self.pages, self.peaks, self._sending, self._working):
            part.close()

    def attempt(self, act: Callable[[], object]) -> bool:
        """Do something to the show; what came of it, or why not, stands at the foot."""
        before = self.chosen.item
        try:
            words = act()
        except ChangeError as error:
            self.say(str(error), "caution")
            return False
        if before != self.chosen.item:
            self.refresh()
        else:
            self.choose_cue(self.chosen.cue)
        if isinstance(words, str):
            self.say(words)
        return True

    def _table(self) -> dict[str, Callable[[], object]]:
        acts = self.acts
        return {
            "edit": lambda: self.typing.open(0),
            "next": lambda: self.typing.open(0),
            "new_cue": self.asking.new_cue,
            "new_item": self.asking.new_item,
            "find": self.asking.find,
            "undo": lambda: self._back(self.store.undo(), "taken back: {}", "nothing to take back"),
            "redo": lambda: self._back(self.store.redo(), "made again: {}", "nothing to make again"),
            "earlier": lambda: self._nudge(-1),
            "later": lambda: self._nudge(1),
            "bar_earlier": lambda: self._nudge(-1, bars=True),
            "bar_later": lambda: self._nudge(1, bars=True),
            "item_before": lambda: self.choose(-1, 0),
            "item_after": lambda: self.choose(1, 0),
            "cue_before": lambda: self.choose(0, -1),
            "cue_after": lambda: self.choose(0, 1),
            "page_up": lambda: self.choose(-10, 0),
            "page_down": lambda: self.choose(10, 0),
            "copy": lambda: self.attempt(acts.copy),
            "cut": lambda: self.attempt(lambda: acts.copy(cut=True)),
            "paste": lambda: self.attempt(acts.paste),
            "remove": lambda: self.attempt(acts.remove),
            "up": lambda: self.attempt(lambda: acts.move_item(-1)),
            "down": lambda: self.attempt(lambda: acts.move_item(1)),
            "out": lambda: self.attempt(acts.toggle_out),
            "split": lambda: self.attempt(acts.split),
            "renumber": self.asking.renumber,
            "tap": self.asking.tempo,
            "length": self.asking.length,
            "send": lambda: self.attempt(self._send),
            "closer": lambda: self.zoom(1.5),
            "further": lambda: self.zoom(1 / 1.5),
            "whole": self._whole,
            "show": self._show_form,
            "import": self.pages.ask_file,
            "export": self.pages.give_out,
            "editions": self.pages.editions,
            "day": self.pages.day,
            "setup": self.pages.setup,
            "check": self.pages.check,
        }

    def perform(self, name: str) -> None:
        """One of the book's actions; the open page comes first."""
        if not self.pages.act(name):
            self._acts[name]()

    def leave(self) -> bool:
        """Stop what is being read, or leave the open page."""
        return self.pages.escape()

    def _nudge(self, by: int, bars: bool = False) -> None:
        self.attempt(lambda: self.acts.nudge(by * (self.acts.bar_beats() if bars else 1)))

    def _back(self, words: str | None, done: str, nothing: str) -> None:
        self.say(nothing if words is None else done.format(words))

    def _send(self) -> None:
        if self._around.live():
            raise ChangeError("a run is live: the engine alone sends now; 'send once' is for rehearsals")
        cue = self.cue()
        if cue is None or not cue.messages:
            raise ChangeError("the chosen cue sends nothing" if cue is not None else "no cue is chosen")
        self._sending.send(self.show_now, cue.messages)

    def _show_form(self) -> None:
        self.of_show = True
        self.chosen.cue = None
        self._tell()
        self.update()

    def tell(self) -> None:
        """Draw anew, and say it to a screen reader."""
        self._tell()
        self.update()

    # Zoom

    def zoom(self, factor: float, about_s: float | None = None) -> None:
        """Closer (above 1) or further, about a second of the item; about what is chosen if none is given."""
        assert self.planned is not None
        length_s = float(self.planned.item.length_s)
        window = self.window_s or Window(0.0, length_s)
        index = self.cue_index()
        if about_s is None:
            about_s = (
                float(self.planned.cues[index].at_s)
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
        self.hand.wheel(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.hand.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.hand.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.hand.release(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        what = self.hand.under(event.pos().toPointF())
        if what is not None:
            self._around.menu(what)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.hand.twice(event)

    # Drawing

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self.buttons.place(self.width(), self.scale())
        if self.typing.edit.is_open():
            self.typing.edit.leave()

    def draw(self, paper: Paper) -> None:
        self.face.draw(paper)
