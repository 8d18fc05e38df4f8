"""The wall's controller: what a key, a button, a menu or the mouse asks for becomes an edit or a choice."""

from collections.abc import Callable
from functools import partial

from showcaller.desk.areas.wall.asking import WallAsking
from showcaller.desk.areas.wall.cameras_panel import CamerasPanel
from showcaller.desk.areas.wall.dragging import Dragging
from showcaller.desk.areas.wall.edits import SharedLookError
from showcaller.desk.areas.wall.grid_hand import GridHand
from showcaller.desk.areas.wall.grid_places import PLACES
from showcaller.desk.areas.wall.grid_view import HOW
from showcaller.desk.areas.wall.keeping_played import KeepingPlayed
from showcaller.desk.areas.wall.layer_side import LayerSide
from showcaller.desk.areas.wall.live_hand import Side
from showcaller.desk.areas.wall.media_files import MediaFiles
from showcaller.desk.areas.wall.preparing import Preparing, turn
from showcaller.desk.areas.wall.seats import FromSeats
from showcaller.desk.areas.wall.sent_panel import SentPanel
from showcaller.desk.areas.wall.setup_panel import SetupPanel
from showcaller.desk.areas.wall.state import PANELS, SETUP, WallState
from showcaller.desk.areas.wall.transport import Transport
from showcaller.desk.areas.wall.wall_edits import WallEdits
from showcaller.desk.areas.wall.wall_typing import WallTyping
from showcaller.desk.ask import Done
from showcaller.desk.context import DeskContext
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.projector import Projector
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.run import commands as c
from showcaller.screen.faults import Panel

_ARROWS = {"left": (-1, 0), "right": (1, 0), "up": (0, 1), "down": (0, -1)}


class WallController:
    """``perform`` does an action of the table by its id without the area; the rest are a hand's wishes."""

    def __init__(
        self,
        state: WallState,
        said: FootWords,
        around: DeskContext,
        projector: Projector,
        side: LayerSide,
        sent: SentPanel,
        setup: SetupPanel,
        cameras: CamerasPanel,
        edit: FieldEdit,
    ) -> None:
        self._state = state
        self._said = said
        self._around = around
        self._edit = edit
        keys = around.keys
        self.edits = WallEdits(state, keys)
        self.dragging = Dragging(state, said, self.edits.layer, self.attempt)
        self.transport = Transport(state, said, projector, keys)
        self.files = MediaFiles(state, said, edit)
        self.typing = WallTyping(
            state, said, self.edits, self.attempt, side, sent, setup, cameras, self.files, edit, keys
        )
        self._asking = WallAsking(
            state, said, self.edits, self._typed, keys, around.ask, self.files.read, self.files.write_tests
        )
        self.preparing = Preparing(state, said, keys, around.ask)
        self._keeping = KeepingPlayed(state, said, keys, around.ask)
        self.grid = GridHand(state, self.edits, said, around)
        self._acts = self._table()

    def _table(self) -> dict[str, Callable[[], object]]:
        layer, look, move, ready = self.edits.layer, self.edits.look, self.transport, self.preparing
        nudges = {f"{far}{way}": partial(layer.nudge, *by, bool(far))
                  for way, by in _ARROWS.items() for far in ("", "far_")}  # fmt: skip
        grid = self.grid
        tiles = {f"{word}_{n + 1}": partial(grid.key, n, word == "next")
                 for n in range(PLACES) for word in ("put", "next")}  # fmt: skip
        hows = {f"how_{n + 1}": partial(grid.choose_how, n) for n in range(len(HOW))}
        return {
            **nudges,
            **tiles,
            **hows,
            "page_back": lambda: grid.turn_page(-1),
            "page_on": lambda: grid.turn_page(1),
            "grid": grid.take_keys,
            "learn": grid.learning.turn,
            "controllers": grid.learning.ask_list,
            "setup": lambda: self.turn_to(0 if self._state.panel == SETUP else SETUP),
            "read": self.files.read,
            "seats": FromSeats(self._state, self._said).next,
            "file": self.typing.choose_file,
            "cameras": lambda: self._said.say(self.files.write_sheets(self._around.edition())),
            "play": move.toggle,
            "back": lambda: move.move(-5),
            "on": lambda: move.move(5),
            "frame_back": lambda: move.frames(-1),
            "frame_on": lambda: move.frames(1),
            "second_back": lambda: move.move(-1),
            "second_on": lambda: move.move(1),
            "shuttle_back": lambda: move.shuttle(-1),
            "shuttle_on": lambda: move.shuttle(1),
            "loop": move.loop,
            "follow": move.follow,
            "item_before": lambda: move.step(-1, 0),
            "item_after": lambda: move.step(1, 0),
            "look_before": lambda: move.step(0, -1),
            "look_after": lambda: move.step(0, 1),
            "front": lambda: self._state.choose_by(1),
            "behind": lambda: self._state.choose_by(-1),
            "raise": lambda: layer.order(1),
            "lower": lambda: layer.order(-1),
            "keep": self._keep,
            "take": ready.take,
            "prepare": ready.ask_look,
            "next_before": lambda: ready.step(-1),
            "next_after": lambda: ready.step(1),
            "side": ready.other_side,
            "change": lambda: ready.ask_transition() if self._state.live else self._asking.ask("change"),
            "plan": lambda: self._said.say(look.back_to_plan()),
            "fainter": lambda: layer.fade(-1),
            "fuller": lambda: layer.fade(1),
            "fit": layer.undistort,
            "fill": layer.fill,
            "here": lambda: self._said.say(layer.here()),
            "hide": layer.hide,
            "remove": layer.remove,
            "undo": lambda: self._undone(layer.undo, "undone: {}", "nothing to undo"),
            "redo": lambda: self._undone(layer.redo, "redone: {}", "nothing to redo"),
            "panel": lambda: self.turn_to((self._state.panel + 1) % len(PANELS)),
            "edit": self.typing.open_first,
        }

    def perform(self, name: str) -> None:
        """Do what a key, a button of the area or a menu says."""
        act = self._acts.get(name)
        if act is None:
            self._asking.ask(name)
        else:
            self.attempt(act)

    def attempt(self, act: Callable[[], object]) -> str | None:
        """Do something; a sentence if it cannot be done, which is also said."""
        before = self._said.words, self._said.tone
        try:
            act()
        except SharedLookError as error:
            self._ask_where(error, act)
        except ChangeError as error:
            self._said.say(str(error), "caution")
            return str(error)
        if before[0] and (self._said.words, self._said.tone) == before:
            self._said.say("")  # what was done or refused before is over
        self._state.look_again()
        return None

    def _ask_where(self, shared: SharedLookError, act: Callable[[], object]) -> None:
        """A look of several places: in all of them, or here only; then do it."""

        def done(text: str) -> str | None:
            word = text.strip().lower()
            if not word or not ("all".startswith(word) or "here only".startswith(word)):
                return "type all, or here; Escape leaves the look as it is"
            if word.startswith("a"):
                self._state.everywhere.add(shared.place)
                return self.attempt(act)
            if shared.instead is not None:
                return self.attempt(shared.instead)
            return self.attempt(self.edits.layer.here) or self.attempt(act)

        hint = "all: everywhere it is used · here: in this place only · Escape: leave it as it is"
        self._around.ask(shared.question, done, hint)

    def leave(self) -> bool:
        """Discard what is tried, or prepared, take the keyboard from the grid, or let go of the chosen layer;
        False if nothing is so."""
        if self.preparing.discard() or self.grid.let_go():
            return True
        words = self.edits.look.discard()
        if words:
            self._said.say(words)
        elif self._state.chosen is None:
            return False
        else:
            self._state.chosen, self._state.surface = None, ""
            self._state.look_again()
        return True

    def _keep(self) -> None:
        """Put what is previewed into the book here; in a run what was played."""
        if self._state.live:
            self._keeping.ask()
        else:
            self._said.say(self.edits.look.keep())

    def mark_fault(self, panel: Panel | None) -> bool:
        """Mark a panel as dead, or mended if it is marked; False if there is none, or no run."""
        host = self._state.host
        session = host.session if host is not None else None
        if panel is None or session is None:
            return False
        known = {**self._state.history.open, **session.book.state.faults}
        surface = panel.surface or None
        session.send(c.Fault(column=panel.column, row=panel.row, mended=panel in known, surface=surface))
        return True

    # What a hand wants

    def choose_layer(self, key: object, side: Side | None = None) -> None:
        """A click on a layer, or beside all of them; in a run in the picture of what is on, or is next."""
        if self.let_go():
            if side is not None:
                turn(self._state, side)
            self._state.chosen = str(key) if key is not None else None
            self._state.look_again()

    def turn_to(self, panel: int) -> None:
        """Another panel at the foot."""
        self._state.panel = panel
        self._state.look_again()

    def open_field(self, key: str) -> None:
        """A click on a field of the chosen layer."""
        if self.let_go():
            self.typing.open_field(key)

    def open_send(self, ident: str) -> None:
        """A click on a template."""
        if self.let_go():
            self.typing.open_send(ident)

    def let_go(self) -> bool:
        """The hand goes elsewhere; False if what is being typed will not do."""
        return not self._edit.is_open() or self._edit.take()

    def _typed(self, act: Callable[[str], object]) -> Done:
        return lambda text: self.attempt(lambda: act(text))

    def _undone(self, act: Callable[[], str | None], done: str, nothing: str) -> None:
        try:
            words = act()
        except ChangeError as error:  # one of the show that is on, which cannot be taken back any more
            self._said.say(str(error), "caution")
            return
        self._said.say(nothing if words is None else done.format(words))
