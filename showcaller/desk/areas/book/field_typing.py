"""Typing into the fields of what is chosen: an item, a cue, or the show itself."""

from showcaller.desk.areas.book.cue_form import CueForm
from showcaller.desk.areas.book.files_in import FilesIn
from showcaller.desk.areas.book.state import BookState
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.editing.checking import runs_as_before
from showcaller.editing.cues import item_at
from showcaller.editing.forms import Edited, FieldText, edit_cue, edit_item, edit_show
from showcaller.editing.forms.field import plain_sentence
from showcaller.editing.forms.messages import message_hint, parse_message
from showcaller.model import Cue


class FieldTyping:
    """``edit`` is the line that lies over the field being typed into."""

    def __init__(
        self, state: BookState, said: FootWords, form: CueForm, edit: FieldEdit, files: FilesIn
    ) -> None:
        self._state = state
        self._said = said
        self._form = form
        self._edit = edit
        self._files = files

    def open(self, index: int) -> None:
        """Open a field of the form for typing."""
        fields = self._state.form.fields
        index %= len(fields)
        field = fields[index]
        self._edit.open(
            self._form.value_box(field.key),
            f"{field.label or 'sends'}: {field.hint}",
            field.text,
            lambda text: self.take(field.key, text),
            lambda by: self.open(index + by),
            lambda text: self._live_hint(field, text),
        )

    def take(self, key: str, text: str) -> str | None:
        """None once the field is taken, else what is wrong."""
        store = self._state.store
        if store.read_only is not None:
            return store.read_only
        try:
            edited = self._edited(key, text)
            if edited.change is not None:
                if key == "anchor":
                    check = runs_as_before(self._state.chosen.item)
                    store.do(edited.words, edited.change, check=check)
                else:
                    store.do(edited.words, edited.change)
                self._said.say(edited.words)
        except ChangeError as error:
            return plain_sentence(str(error))
        return None

    def _edited(self, key: str, text: str) -> Edited:
        show, chosen = self._state.show_now, self._state.chosen
        if key == "reference":
            if text.strip() != (getattr(item_at(show, chosen.item), "reference", None) or ""):
                self._files.take_reference(text.strip())
            return Edited("", None)
        if chosen.of_show:
            return edit_show(show, key, text)
        if chosen.cue is not None:
            return edit_cue(show, chosen.cue, key, text)
        return edit_item(show, chosen.item, key, text)

    def _live_hint(self, field: FieldText, text: str) -> str:
        if not field.key.startswith("message:") or not text.strip():
            return field.hint
        show = self._state.show_now
        try:
            part = parse_message(show, text)
            message = Cue.model_validate(_CARRIER | {"messages": [part]}).messages[0]
        except (ChangeError, ValueError):
            return message_hint(show, text)
        from showcaller.engine.encode import bytes_text  # noqa: PLC0415 - loaded where it is first typed

        return bytes_text(message, show.timecode_rate)


_CARRIER = {
    "id": "x", "department": "x", "number": "1", "label": "x", "anchor": {"at": "time", "seconds": 0},
}  # fmt: skip
"""A cue to check a message in while it is typed."""
