"""The show's own form: its name, place and times."""

from typing import get_args

from showcaller.editing.changes import SetFields
from showcaller.editing.forms.field import Edited, FieldText, one_of
from showcaller.model import HouseWording, Language, Show
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
        *_wording_fields(show.speaking.wording),
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
    if key in HouseWording.model_fields:
        return _edit_wording(show, key, text)
    return Edited(f"{key.replace('_', ' ')} of the show", SetFields(at=(), fields={key: value}))


def _wording_fields(wording: HouseWording) -> tuple[FieldText, ...]:
    """How lines are worded."""
    return (
        FieldText("language", "called in", wording.language, ", ".join(get_args(Language))),
        FieldText("numbers", "numbers called", _yes(wording.numbers), "yes: Lights 64; no: Lights"),
        FieldText("each", "standby for each", _yes(wording.each), "no: one for all; yes: one a department"),
        FieldText(
            "name_first",
            "name first",
            _yes(wording.name_first),
            "yes: Lights 64, standby",
        ),
    )


def _edit_wording(show: Show, key: str, text: str) -> Edited:
    label = next(f.label for f in _wording_fields(show.speaking.wording) if f.key == key)
    if key == "language":
        value: object = one_of(text, [(name, ()) for name in get_args(Language)], label)
    else:
        value = one_of(text, [("yes", ()), ("no", ())], label) == "yes"
    return Edited(f"{label}: {text.strip()}", SetFields(at=("speaking", "wording"), fields={key: value}))


def _yes(value: bool) -> str:
    return "yes" if value else "no"
