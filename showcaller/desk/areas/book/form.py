"""The form of what is chosen: its fields as they are typed, and the bytes its messages leave as. No Qt."""

from collections.abc import Mapping

from showcaller.desk.areas.book.chosen import Chosen
from showcaller.editing.cues import cue_of
from showcaller.editing.forms import FieldText, cue_fields, item_fields, show_fields
from showcaller.model import Show
from showcaller.values import Struct, field

BYTES_SHOWN = 12
_LONG = ("message", "look", "needs", "hazard", "notes", "tempo", "meters", "sections", "reference")
"""What may be long stands in the wider column."""


class Form(Struct, frozen=True):
    """Fields in the order in which Tab goes through them; ``bytes_of`` has a message's bytes by its key."""

    fields: tuple[FieldText, ...] = ()
    bytes_of: Mapping[str, str] = field(default_factory=dict)

    @property
    def short(self) -> tuple[int, ...]:
        """The places of the fields that stand in the narrow column."""
        long = self.long
        return tuple(n for n in range(len(self.fields)) if n not in long)

    @property
    def long(self) -> tuple[int, ...]:
        """The places of those that may be long."""
        found = tuple(n for n, f in enumerate(self.fields) if f.key.startswith(_LONG))
        # Where none is long, as with the show's own, half of them stand there all the same: none is squeezed.
        return found or tuple(range((len(self.fields) + 1) // 2, len(self.fields)))


def form_of(show: Show, chosen: Chosen) -> Form:
    """The form of the show, of the chosen cue, or of the chosen item."""
    if chosen.of_show:
        return Form(show_fields(show))
    if chosen.cue is None:
        return Form(_down_the_columns(item_fields(show, chosen.item)))
    messages = cue_of(show, chosen.cue).messages
    sent = {}
    if messages:  # what makes bytes is loaded where there are any, not before the window
        from showcaller.engine.encode import bytes_text  # noqa: PLC0415

        sent = {
            f"message:{n}": bytes_text(m, show.timecode_rate, BYTES_SHOWN) for n, m in enumerate(messages)
        }
    return Form(_down_the_columns(cue_fields(show, chosen.cue)), sent)


def _down_the_columns(fields: tuple[FieldText, ...]) -> tuple[FieldText, ...]:
    """As they stand, the narrow column first: Tab goes where the eye goes."""
    made = Form(fields)
    return tuple(fields[n] for n in (*made.short, *made.long))
