"""Typing in place: a layer's fields at the side, the templates of messages."""

from collections.abc import Callable

from showcaller.desk.areas.wall.cameras_panel import CamerasPanel
from showcaller.desk.areas.wall.layer_side import LayerSide
from showcaller.desk.areas.wall.media_files import MediaFiles
from showcaller.desk.areas.wall.sent_panel import SentPanel
from showcaller.desk.areas.wall.setup_panel import SetupPanel
from showcaller.desk.areas.wall.state import PANELS, WallState
from showcaller.desk.areas.wall.templates import SEND_HINT, send_text
from showcaller.desk.areas.wall.wall_edits import WallEdits
from showcaller.desk.keys import Keys
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.screen.setup.rows import setup_rows, typed_text


class WallTyping:
    """Opens ``edit`` over what is typed into. Tab goes on to the next field, or template."""

    def __init__(
        self,
        state: WallState,
        said: FootWords,
        edits: WallEdits,
        attempt: Callable[[Callable[[], object]], str | None],
        side: LayerSide,
        sent: SentPanel,
        setup: SetupPanel,
        cameras: CamerasPanel,
        files: MediaFiles,
        edit: FieldEdit,
        keys: Keys,
    ) -> None:
        self._setup, self._cameras = setup, cameras
        self._files = files
        self._state = state
        self._said = said
        self._edits = edits
        self._attempt = attempt
        self._side = side
        self._sent = sent
        self._edit = edit
        self._keys = keys

    def open_first(self) -> None:
        """Into the first template where they are shown, else into the first field of the chosen layer."""
        sends, fields = self._state.show_now.sends, self._state.fields
        panel = PANELS[self._state.panel]
        if panel == "set-up" and self._setup.keys():
            self.open_line(self._setup.chosen() or self._setup.keys()[0])
        elif panel == "cameras":
            self.open_line(self._cameras.keys()[0])
        elif panel == "messages" and sends:
            self.open_send(sends[0].id)
        elif fields:
            self.open_field(fields[0].key)
        else:
            self._said.say(f"choose a layer first: click it, or {self._keys['wall.front']}")

    def open_field(self, key: str) -> None:
        """Type into a field of the chosen layer."""
        fields = {f.key: f for f in self._state.fields}
        box = self._side.value_box(key)
        if key not in fields or box is None or not self._state.editable:
            return
        field, names = fields[key], list(fields)

        def step(by: int) -> None:
            self.open_field(names[(names.index(key) + by) % len(names)])

        def commit(text: str) -> str | None:
            if text == field.text:
                return None
            return self._attempt(lambda: self._edits.layer.type_into(key, text))

        self._edit.open(box, field.label, field.text, commit, step, lambda _: field.hint)

    def click_line(self, key: str) -> None:
        """A line was clicked; what is being typed elsewhere is taken first, and must do."""
        if not self._edit.is_open() or self._edit.take():
            self.open_line(key)

    def open_line(self, key: str) -> None:
        """Type into a line of the set-up, or of the song's shots."""
        panel = self._cameras if key.startswith("shot") else self._setup
        box, keys = panel.value_box(key), panel.keys()
        if box is None or not self._state.editable:
            return
        label, text, hint = self._line(key)

        def commit(typed: str) -> str | None:
            return None if typed == text else self._attempt(lambda: self.type_setup(key, typed))

        def step(by: int) -> None:
            self.open_line(keys[(keys.index(key) + by) % len(keys)])

        complete = self._files.names() if key.startswith("file.") else ()
        self._edit.open(box, label, text, commit, step, lambda _: hint, complete)

    def _line(self, key: str) -> tuple[str, str, str]:
        """A line's label, what stands in it to be typed, and what may be."""
        if key.startswith("shot"):
            row = next(r for r in self._cameras.lines.model_.rows if r.key == key)
            return row.label, row.text, row.hint
        found = next(r for r in setup_rows(self._state.show_now, {}) if r.key == key)
        return found.label.strip(), typed_text(self._state.show_now, key), found.hint

    def type_setup(self, key: str, typed: str) -> None:
        """Take what was typed into a line; a file that was named is read."""
        if key.startswith("shot"):
            self._edits.show.type_shot(key, typed)
            return
        source = self._edits.show.type_setup(key, typed)
        if source is not None and self._state.store.folder is not None:
            self._files.read(source)

    def choose_file(self) -> None:
        """Ask for the file of the chosen source: of a line of the set-up, or of the chosen layer."""
        key = self._setup.chosen() if PANELS[self._state.panel] == "set-up" else ""
        ident = key.partition(".")[2] if key.startswith(("file.", "source.", "grade.")) else ""
        found = None if self._state.scene is None else self._state.scene.layer(self._state.chosen)
        ident = ident or (found[1].source if found is not None else "")
        if not ident:
            raise ChangeError("choose a source in the set-up, or a layer, first")
        self._files.choose(lambda name: self._attempt(lambda: self.type_setup(f"file.{ident}", name)))

    def open_send(self, ident: str) -> None:
        """Type into a template; an empty one is taken out."""
        box, sends = self._sent.value_box(ident), self._state.show_now.sends
        n = next((n for n, s in enumerate(sends) if s.id == ident), None)
        if box is None or n is None or not self._state.editable:
            return
        was, place = send_text(sends[n]), n

        def commit(text: str) -> str | None:
            return self._attempt(lambda: self._edits.show.change_send(place, text)) if text != was else None

        def step(by: int) -> None:
            now = self._state.show_now.sends
            if now:
                self.open_send(now[(place + by) % len(now)].id)

        self._edit.open(box, "template", was, commit, step, lambda _: SEND_HINT)
