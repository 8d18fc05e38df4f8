"""The show's own form: its name, place and times."""

from showcaller.editing.changes import SetFields
from showcaller.editing.forms.field import Edited, FieldText, one_of
from showcaller.model import Show
from showcaller.timing.timecode import RATES


def show_fields(show: Show) -> tuple[FieldText, ...]:
    """The show's fields, as they are."""
    return (
        FieldText("name", "show", show.name, "as people call it"),
        FieldText("act", "act", show.act, "who plays"),
        FieldText("venue", "venue", show.venue, "where"),
        FieldText("starts_at", "starts at", show.starts_at, "hh:mm"),
        FieldText("curfew", "curfew", show.curfew or "", "hh:mm; empty if there is none"),
        FieldText(
            "time_zone", "time zone", show.time_zone or "", "such as Europe/Berlin; empty for this machine's"
        ),
        FieldText("timecode_rate", "timecode", show.timecode_rate, ", ".join(RATES)),
    )


def edit_show(show: Show, key: str, text: str) -> Edited:
    """What typing ``text`` into the field ``key`` does.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    before = next(f.text for f in show_fields(show) if f.key == key)
    if text.strip() == before:
        return Edited("", None)
    value: str | None = text.strip()
    if key in ("curfew", "time_zone") and not value:
        value = None
    if key == "timecode_rate":
        value = one_of(text, [(name, ()) for name in RATES], "timecode")
    return Edited(f"{key.replace('_', ' ')} of the show", SetFields(at=(), fields={key: value}))
