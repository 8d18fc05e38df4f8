"""An item or a cue as lines of text that a person can change: a field shows, hints and reads."""

from showcaller.editing.forms.field import Edited, FieldText
from showcaller.editing.forms.of_cue import cue_fields, edit_cue
from showcaller.editing.forms.of_item import edit_item, item_fields
from showcaller.editing.forms.of_show import edit_show, show_fields

__all__ = [
    "Edited", "FieldText", "cue_fields", "edit_cue", "edit_item", "edit_show", "item_fields", "show_fields",
]  # fmt: skip
