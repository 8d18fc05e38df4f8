"""Typing in place: a layer's fields at the side, the templates of messages."""

from collections.abc import Callable

from showcaller.desk.areas.wall.layer_side import LayerSide
from showcaller.desk.areas.wall.sent_panel import SentPanel
from showcaller.desk.areas.wall.state import PANELS, WallState
from showcaller.desk.areas.wall.templates import SEND_HINT, send_text
from showcaller.desk.areas.wall.wall_edits import WallEdits
from showcaller.desk.keys import Keys
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.said import FootWords


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
        edit: FieldEdit,
        keys: Keys,
    ) -> None:
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
        if PANELS[self._state.panel] == "messages" and sends:
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
