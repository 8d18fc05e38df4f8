"""Typing into the fields of what is chosen: an item, a cue, or the show itself."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.qt import QRectF
from showcaller.editing import ChangeError
from showcaller.editing.checking import runs_as_before
from showcaller.editing.cues import item_at
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
from showcaller.editing.forms.field import plain_sentence
from showcaller.editing.forms.messages import message_hint, parse_message
from showcaller.engine.sendonce import bytes_text
from showcaller.model import Cue

if TYPE_CHECKING:
    from showcaller.desk.areas.book.area import BookArea


class Typing:
    """``edit`` is the line that lies over the field being typed into."""

    def __init__(self, area: "BookArea") -> None:
        self._area = area
        self.edit = FieldEdit(area)

    def fields(self) -> tuple[FieldText, ...]:
        """The form of what is chosen."""
        if self._area.of_show:
            return show_fields(self._area.show_now)
        if self._area.chosen.cue is not None:
            return cue_fields(self._area.show_now, self._area.chosen.cue)
        return item_fields(self._area.show_now, self._area.chosen.item)

    def line(self, rect: QRectF, name: str, text: str, commit: Callable[[str], str | None]) -> None:
        """Type one line of a page."""
        self.edit.open(rect, name, text, commit, lambda _: None, lambda _: name)

    def open(self, index: int) -> None:
        """Open a field of the form for typing."""
        fields = self._area.fields
        index %= len(fields)
        field = fields[index]
        self._area.face.lay_out()
        row = next(r for r in self._area.rows if r.index == index)
        self.edit.open(
            row.value,
            f"{field.label or 'sends'}: {field.hint}",
            field.text,
            lambda text: self.take(field.key, text),
            lambda by: self.open(index + by),
            lambda text: self._live_hint(field, text),
        )
        self._area.update()

    def _live_hint(self, field: FieldText, text: str) -> str:
        if not field.key.startswith("message:") or not text.strip():
            return field.hint
        try:
            part = parse_message(self._area.show_now, text)
            message = Cue.model_validate(_CARRIER | {"messages": [part]}).messages[0]
        except (ChangeError, ValueError):
            return message_hint(self._area.show_now, text)
        return bytes_text(message, self._area.show_now.timecode_rate)

    def take(self, key: str, text: str) -> str | None:
        """None once the field is taken, else what is wrong."""
        try:
            if self._area.store.read_only is not None:
                return self._area.store.read_only
            if key == "reference":
                if text.strip() != (
                    getattr(item_at(self._area.show_now, self._area.chosen.item), "reference", None) or ""
                ):
                    self._area.pages.take_reference(text.strip())
                edited = Edited("", None)
            elif self._area.of_show:
                edited = edit_show(self._area.show_now, key, text)
            elif self._area.chosen.cue is not None:
                edited = edit_cue(self._area.show_now, self._area.chosen.cue, key, text)
            else:
                edited = edit_item(self._area.show_now, self._area.chosen.item, key, text)
            if edited.change is not None and key == "anchor":
                check = runs_as_before(self._area.chosen.item)
                self._area.store.do(edited.words, edited.change, check=check)
                self._area.say(edited.words)
            elif edited.change is not None:
                self._area.store.do(edited.words, edited.change)
                self._area.say(edited.words)
        except ChangeError as error:
            return plain_sentence(str(error))
        return None


_CARRIER = {
    "id": "x", "department": "x", "number": "1", "label": "x", "anchor": {"at": "time", "seconds": 0},
}  # fmt: skip
"""A cue to check a message in while it is typed."""
