"""What is typed in one line at the foot, read: a new cue, a new item, a range to number anew. Pure."""

import re
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from showcaller.editing import ChangeError
from showcaller.editing.forms.field import one_of, seconds_of
from showcaller.editing.forms.look_change import parse_look_change
from showcaller.editing.forms.of_item import parse_meters, parse_tempo
from showcaller.editing.lengths import CellError, name_and_length
from showcaller.editing.placing import parse_anchor
from showcaller.editing.running_order import KINDS
from showcaller.model import Item, Show
from showcaller.model.quantities import parse_cue_number
from showcaller.values import Struct

_PLACE = re.compile(
    r"^((?:after|follows?)\s+\S+\s+[\d.]+(?:\s*\+\s*[\d.:/]+)?|(?:when|sees)\s+.+?,\s*about\s+[\d:.]+"
    r"|(?:when|sees)\s+.+|on\s+\S+(?:\s+\d+)?|\S+)\s*(.*)$",
    re.IGNORECASE,
)
"""When a new cue is, at the head of a line, and what happens, behind it."""
_TEMPO = re.compile(r",\s*(?:(\d{2,3}(?:\.\d+)?)(?:\s*bpm)?|(\d{1,2}/\d{1,2}))\s*$")
"""A song's tempo or time signature at the end of a line."""


class NewCue(Struct, frozen=True):
    """A new cue as it is typed: whose, when, what happens, and the look that it brings in the document's
    form, if one is named."""

    department: str
    place: str
    label: str
    look: dict[str, Any] | None = None


def read_new_cue(show: Show, item: Item, text: str) -> NewCue:
    """A new cue from ``lights 69/3 Chorus``, or ``video 33 Chorus, look: gulls wide, mix 8``.

    Raises:
        ChangeError: nobody is called so, it is no place, or the look is none of the show's.
    """
    who, _, rest = text.strip().partition(" ")
    if not who:
        raise ChangeError("who, when, what: lights 69/3 chorus")
    names = [(d.id, (d.name, d.letters)) for d in show.departments]
    department = one_of(who, names, "who")
    match = _PLACE.match(rest.strip())
    if match is None:
        raise ChangeError(f"when does {who} go? give a bar and beat 69/3, or a time 1:23.5")
    place, (label, look) = match.group(1), _with_look(show, match.group(2).strip())
    parse_anchor(place, show, item)
    return NewCue(department, place, label, look)


def _with_look(show: Show, text: str) -> tuple[str, dict[str, Any] | None]:
    """What happens, and the look behind it. Without the colon a sentence may go on so, and is left whole."""
    found = re.search(r"(?:^|,\s*)look(?P<colon>:\s*|\s+)(?P<look>.+)$", text, re.IGNORECASE)
    if found is None:
        return text, None
    try:
        look = parse_look_change(show, found["look"])
    except ChangeError:
        if ":" in found["colon"]:
            raise
        return text, None
    name = next((k.name for k in show.looks if look is not None and k.id == look["look"]), "")
    return text[: found.start()].strip() or name, look


def read_new_item(text: str) -> tuple[str, str, Fraction | None, dict[str, Any]]:
    """(kind, name, length or None, further fields) from ``talk The ferry 1:30``; without a kind it is a song.

    The length may have units: ``interval Bar open 20 min``. A song's tempo and time signature may stand
    behind it: ``Iron Gulls 4:36, 124, 4/4``.

    Raises:
        ChangeError: there is no name, or the length cannot be read.
    """
    text, more = _with_tempo(text)
    words = text.split()
    kind = "song"
    if words and words[0].lower() in KINDS:
        kind, words = words[0].lower(), words[1:]
    if more and kind != "song":
        raise ChangeError(f"{kind}: only a song has a tempo; take out what is behind the comma")
    length: Fraction | None = None
    if len(words) > 1 and ":" in words[-1]:
        length, words = Fraction(str(seconds_of(words[-1], "length"))), words[:-1]
    elif words:
        try:
            words, length = name_and_length(words)
        except CellError as error:
            raise ChangeError(str(error)) from None
    if not words:
        raise ChangeError("a name, and a length if it is known: talk The ferry 1:30")
    return kind, " ".join(words), length, more


def _with_tempo(text: str) -> tuple[str, dict[str, Any]]:
    """A line without a tempo and a time signature at its end, and these; a name may have commas too."""
    more: dict[str, Any] = {}
    while (
        found := re.search(r",\s*(?:(\d{2,3}(?:\.\d+)?)(?:\s*bpm)?|(\d{1,2}/\d{1,2}))\s*$", text)
    ) is not None:
        if found[1]:
            more["tempo"] = parse_tempo(found[1])
        else:
            more["meters"] = parse_meters(found[2])
        text = text[: found.start()]
    if "meters" in more and "tempo" not in more:
        raise ChangeError("a time signature needs a tempo: Iron Gulls 4:36, 124, 4/4")
    return text, more


def read_renumber(show: Show, text: str) -> tuple[str, tuple[Decimal, Decimal, Decimal, Decimal]]:
    """(department, (first, last, start, step)) as typed."""
    words = [w for w in text.replace("-", " ").lower().split() if w not in ("to", "from", "by", "cues")]
    if len(words) < 4:
        raise ChangeError("who, first, last, new first, step: lights 12 to 40 from 100 by 10")
    names = [(d.id, (d.name, d.letters)) for d in show.departments]
    department = one_of(words[0], names, "who")
    try:
        first, last, start = (parse_cue_number(w) for w in words[1:4])
        step = Decimal(words[4]) if len(words) > 4 else Decimal(1)
    except (ValueError, InvalidOperation):
        raise ChangeError(
            f"'{text}' has something that is not a number; type for example: lights 12 to 40 from 100 by 10"
        ) from None
    return department, (first, last, start, step)
