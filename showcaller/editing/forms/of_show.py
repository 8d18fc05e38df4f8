"""The show's own form: its name, place and times."""

import re
from typing import Any, get_args

from showcaller.editing.changes import ChangeError, SetFields
from showcaller.editing.forms.field import Edited, FieldText, one_of, seconds_of
from showcaller.model import HouseWording, Language, Show
from showcaller.model.quantities import to_json
from showcaller.model.timecode_in import MtcIn
from showcaller.timing.timecode import RATES


def show_fields(show: Show) -> tuple[FieldText, ...]:
    """The show's fields, as they are."""
    return (
        FieldText("name", "show", show.name, "as people call it"),
        FieldText("act", "act", show.act, "who plays"),
        FieldText("venue", "venue", show.venue, "where"),
        FieldText("starts_at", "starts at", show.starts_at, "hh:mm"),
        FieldText(
            "curfew", "curfew", _curfew_text(show), "hh:mm; past midnight: 00:30 next day; empty: none"
        ),
        FieldText(
            "time_zone", "time zone", show.time_zone or "", "such as Europe/Berlin; empty for this machine's"
        ),
        FieldText(
            "incident_readers",
            "incident forms",
            ", ".join(show.incident_readers),
            "who reads them: Stage manager, Safety officer; empty: all who have the report",
        ),
        FieldText("timecode_rate", "timecode", show.timecode_rate, ", ".join(RATES)),
        FieldText("timecode_in", "timecode in", _timecode_text(show), _TIMECODE_HINT),
        *_wording_fields(show.speaking.wording),
        *(FieldText(key, label, _speaking_text(show, key), hint) for key, (label, hint) in _SPEAKING.items()),
    )


_TIMECODE_HINT = "mtc words of the port; ltc words of the device, channel 2; empty: none comes in"
_SPEAKING = {
    "words_per_minute": ("words a minute", "how fast the caller speaks: 60 to 300"),
    "breath_s": ("breath", "seconds between two lines"),
    "early_s": ("standby early by", "seconds that a standby may come before its least lead"),
    "ask_again_s": ("ask again over", "seconds that a go may be early; empty: its own standby's lead"),
    "ask_unsaid": ("ask if not called", "yes: a go whose standby was not called is asked for again"),
}


def _timecode_text(show: Show) -> str:
    comes = show.timecode_in
    if comes is None:
        return ""
    if isinstance(comes, MtcIn):
        return f"mtc {comes.port}"
    return f"ltc {comes.device}" + (f", channel {comes.channel}" if comes.channel != 1 else "")


def _timecode_of(show: Show, text: str) -> dict[str, Any] | None:
    """Where timecode comes in, as the document has it; how it is followed stays."""
    if not text.strip():
        return None
    match = re.fullmatch(r"(mtc|ltc)\s+(.+?)(?:,\s*channel\s+(\d+))?", text.strip(), re.IGNORECASE)
    if match is None or (match[1].lower() == "mtc" and match[3]):
        raise ChangeError(f"'{text.strip()}' is no timecode input; give {_TIMECODE_HINT}")
    kind = match[1].lower()
    part: dict[str, Any] = {"kind": kind, "port" if kind == "mtc" else "device": match[2].strip()}
    if match[3]:
        part["channel"] = int(match[3])
    if show.timecode_in is not None:
        part["chase"] = show.timecode_in.chase.model_dump(mode="json")
    return part


def _speaking_text(show: Show, key: str) -> str:
    value = getattr(show.speaking, key)
    if isinstance(value, bool):
        return _yes(value)
    return "" if value is None else str(to_json(value))


def _edit_speaking(key: str, text: str) -> Edited:
    label = _SPEAKING[key][0]
    value: object
    if key == "ask_unsaid":
        value = one_of(text, [("yes", ()), ("no", ())], label) == "yes"
    elif key == "words_per_minute":
        if not text.strip().isdecimal():
            raise ChangeError(f"{label}: '{text.strip()}' is no whole number; give 60 to 300")
        value = int(text)
    else:
        value = seconds_of(text, label) if text.strip() else None
    return Edited(f"{label}: {text.strip()}", SetFields(at=("speaking",), fields={key: value}))


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
    if key in ("curfew", "starts_at") and value is not None:
        value = _on_its_day(show, key, value)
    if key == "incident_readers":
        names = [name.strip() for name in text.split(",") if name.strip()]
        return Edited("who reads incident forms", SetFields(at=(), fields={key: names}))
    if key == "timecode_rate":
        value = one_of(text, [(name, ()) for name in RATES], "timecode")
    if key == "timecode_in":
        return Edited("timecode in", SetFields(at=(), fields={key: _timecode_of(show, text)}))
    if key in _SPEAKING:
        return _edit_speaking(key, text)
    if key in HouseWording.model_fields:
        return _edit_wording(show, key, text)
    return Edited(f"{key.replace('_', ' ')} of the show", SetFields(at=(), fields={key: value}))


NEXT_DAY = "next day"
"""What is typed behind a time to say that the curfew is past midnight."""


def _curfew_text(show: Show) -> str:
    if show.curfew is None:
        return ""
    return f"{show.curfew} {NEXT_DAY}" if _past_midnight(show.starts_at, show.curfew) else show.curfew


def _past_midnight(starts_at: str, curfew: str) -> bool:
    return curfew[:5] <= starts_at[:5]


def _on_its_day(show: Show, key: str, text: str) -> str:
    """A time of day; one that puts the curfew before the start is asked about: tonight, or the next day?

    Raises:
        ChangeError: the day is not clear.
    """
    told = text.lower().endswith(NEXT_DAY)
    typed = text[: -len(NEXT_DAY)].strip().removesuffix(",") if told else text
    starts, curfew = (typed, show.curfew) if key == "starts_at" else (show.starts_at, typed)
    if curfew is None or not all(_is_time(t) for t in (starts, curfew)):
        return typed
    was = show.curfew is not None and _past_midnight(show.starts_at, show.curfew)
    past = _past_midnight(starts, curfew)
    if past and not told and not (was and key == "starts_at"):
        then = f"{typed} {NEXT_DAY}"
        raise ChangeError(
            f"the curfew {curfew} is not after the start {starts}: is it on the next day? "
            f"Then type {then}; else another time"
        )
    if told and not past:
        raise ChangeError(
            f"{curfew} is after the start {starts} on the same evening; type it without '{NEXT_DAY}'"
        )
    return typed


def _is_time(text: str) -> bool:
    return bool(re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?", text))


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
