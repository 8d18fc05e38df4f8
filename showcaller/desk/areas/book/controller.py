"""The book's controller: what a key, a button, a menu or the mouse asks for becomes an edit or a choice."""

from collections.abc import Callable
from fractions import Fraction

from showcaller.desk.areas.book.asking import Asking
from showcaller.desk.areas.book.attempts import Attempts
from showcaller.desk.areas.book.cue_edits import CueEdits
from showcaller.desk.areas.book.cue_form import CueForm
from showcaller.desk.areas.book.field_typing import FieldTyping
from showcaller.desk.areas.book.files_in import FilesIn
from showcaller.desk.areas.book.item_edits import ItemEdits
from showcaller.desk.areas.book.page_doors import PageDoors
from showcaller.desk.areas.book.page_stack import PageStack
from showcaller.desk.areas.book.page_view import PageView
from showcaller.desk.areas.book.sending import Sending
from showcaller.desk.areas.book.state import BookState
from showcaller.desk.context import DeskContext
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.qt import QWidget
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.editing.running_order import place_of
from showcaller.editing.snapping import anchor_near


class BookController:
    """``perform`` does an action of the table by its id without the area; the rest are a hand's wishes.

    ``form``, ``page_view`` and ``edit`` are asked where they are, to type there; ``owner`` owns the threads.
    """

    def __init__(
        self,
        state: BookState,
        said: FootWords,
        around: DeskContext,
        form: CueForm,
        page_view: PageView,
        edit: FieldEdit,
        owner: QWidget,
    ) -> None:
        self._state = state
        self._said = said
        self._around = around
        self._edit = edit
        self._owner = owner
        self.cues = CueEdits(state.store, state.chosen, around.keys)
        self.items = ItemEdits(state.store, state.chosen, around.keys)
        self.attempts = Attempts(state, said)
        self.pages = PageStack(around.keys, owner)
        self.files = FilesIn(state, said, self.attempts, self.items, self.pages, around.keys, owner)
        self.doors = PageDoors(state, said, self.attempts, self.pages, page_view, edit, around)
        self.typing = FieldTyping(state, said, form, edit, self.files)
        self._asking = Asking(state, self.attempts, self.cues, self.items, around.ask)
        self._sending = Sending(said.say, owner)
        self._acts = self._table()
        state.store.changed.connect(self.pages.refresh)

    def _table(self) -> dict[str, Callable[[], object]]:
        cues, items, attempt = self.cues, self.items, self.attempts.attempt
        state, store, zoom = self._state, self._state.store, self._state.zoom
        return {
            "edit": lambda: self.typing.open(0),
            "next": lambda: self.typing.open(0),
            "new_cue": self._asking.new_cue,
            "new_item": self._asking.new_item,
            "find": self._asking.find,
            "undo": lambda: attempt(lambda: _back(store.undo(), "undone: {}", "nothing to undo")),
            "redo": lambda: attempt(lambda: _back(store.redo(), "redone: {}", "nothing to redo")),
            "earlier": lambda: attempt(lambda: cues.nudge(-1)),
            "later": lambda: attempt(lambda: cues.nudge(1)),
            "bar_earlier": lambda: attempt(lambda: cues.nudge(-cues.bar_beats())),
            "bar_later": lambda: attempt(lambda: cues.nudge(cues.bar_beats())),
            "item_before": lambda: self.step(-1, 0),
            "item_after": lambda: self.step(1, 0),
            "cue_before": lambda: self.step(0, -1),
            "cue_after": lambda: self.step(0, 1),
            "page_up": lambda: self.step(-10, 0),
            "page_down": lambda: self.step(10, 0),
            "copy": lambda: attempt(cues.copy),
            "cut": lambda: attempt(lambda: cues.copy(cut=True)),
            "paste": lambda: attempt(cues.paste),
            "remove": lambda: attempt(items.remove if state.chosen.cue is None else cues.remove),
            "up": lambda: attempt(lambda: items.move_item(-1)),
            "down": lambda: attempt(lambda: items.move_item(1)),
            "out": lambda: attempt(items.toggle_out),
            "split": lambda: attempt(items.split),
            "renumber": self._asking.renumber,
            "tap": self._asking.tempo,
            "length": self._asking.length,
            "send": lambda: attempt(self._send),
            "unmark": lambda: self._said.say("the day sheet takes a press back: open it first", "quiet"),
            "closer": lambda: zoom.closer(1.5, state.about_s()),
            "further": lambda: zoom.closer(1 / 1.5, state.about_s()),
            "whole": zoom.whole,
            "show": state.choose_show,
            "import": self.files.ask_file,
            "export": self.doors.give_out,
            "editions": self.doors.editions,
            "day": self.doors.day,
            "venues": self.doors.venues,
            "rehearsed": self.doors.rehearsed,
            "people": self.doors.people,
            "lyrics": self.doors.lyrics,
            "setup": self.doors.setup,
            "check": self.doors.check,
            "tonight": self._around.tonight,
            "changes": self.doors.changes,
        }

    def perform(self, name: str) -> None:
        """One of the book's actions; the open page comes first."""
        if not self.pages.act(name):
            self._acts[name]()

    def leave(self) -> bool:
        """Stop what is being read, or leave the open page; False if there is neither."""
        if self.files.stop():
            return True
        if self.pages.now is None:
            return False
        self.pages.leave()
        return True

    def close(self) -> None:
        """End what is being read and sent, and every page."""
        self.files.close()
        self.pages.clear()
        self._sending.close()

    # What a hand wants

    def let_go(self) -> bool:
        """The hand goes elsewhere: what is being typed is taken; False if it will not do."""
        return not self._edit.is_open() or self._edit.take()

    def choose_item(self, item_id: str) -> None:
        """A click on the running order: it also leaves what is being typed, and the open page."""
        self.pages.clear()
        if self.let_go():
            self._state.choose_item(item_id)

    def move_item(self, item_id: str, by: int) -> None:
        """An item was dragged up or down the running order."""
        self._state.choose_item(item_id)
        self.attempts.attempt(lambda: self.items.move_item(by))

    def menu_of(self, item_id: str) -> None:
        """A right click on the running order."""
        self._state.choose_item(item_id)
        self._around.menu("item")

    def choose_cue(self, cue_id: str | None) -> None:
        """A click on the strip: the window has the keys again, whatever list had them."""
        if self.let_go():
            self._owner.window().setFocus()
            self._state.choose_cue(cue_id)

    def open_field(self, key: str) -> None:
        """A click on a field of the form."""
        if self.let_go():
            self.typing.open([field.key for field in self._state.form.fields].index(key))

    def drop_cue(self, cue_id: str, at_s: float, grid: Fraction) -> None:
        """A cue was dragged along the strip and let go."""
        self.attempts.attempt(lambda: self.cues.drag(cue_id, at_s, grid))

    def place_cue(self, department: str, at_s: float, grid: Fraction) -> None:
        """A double click on a lane: a new cue there, to be typed into."""
        planned = self._state.planned
        assert planned is not None
        anchor, at = anchor_near(planned, at_s, grid), Fraction(round(at_s * 1000), 1000)
        if self.attempts.attempt(lambda: self.cues.new_cue(department, anchor, at)):
            self.typing.open(0)

    def step(self, items: int, cues: int) -> None:
        """So many items on, or cues of the chosen item."""
        state = self._state
        state.chosen.of_show = False
        if items:
            shown = state.show_now.items
            index = place_of(state.show_now, state.chosen.item) + items
            state.choose_item(shown[max(0, min(len(shown) - 1, index))].id)
        planned = state.planned
        if cues and planned is not None and planned.cues:
            here, last = state.cue_index(), len(planned.cues) - 1
            index = (0 if cues > 0 else last) if here is None else max(0, min(last, here + cues))
            state.choose_cue(planned.cues[index].cue.id)

    def _send(self) -> None:
        if self._around.live():
            raise ChangeError(
                "a show is live, so only the show sends; use 'send once' before it or in a rehearsal"
            )
        cue = self._state.cue()
        if cue is None or not cue.messages:
            raise ChangeError(
                "the chosen cue sends nothing; type a message into its fields first"
                if cue is not None
                else "no cue is chosen; left and right choose one"
            )
        self._sending.send(self._state.show_now, cue.messages)


def _back(words: str | None, done: str, nothing: str) -> str:
    """What an undo or a redo did."""
    return nothing if words is None else done.format(words)
