"""What is typed in one line at the foot, read: a new cue, a new item, a range to number anew. Pure."""

import re
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from showcaller.editing import ChangeError
from showcaller.editing.forms.field import one_of, seconds_of
from showcaller.editing.lengths import CellError, name_and_length
from showcaller.editing.placing import parse_anchor
from showcaller.editing.running_order import KINDS
from showcaller.model import Item, Show
from showcaller.model.quantities import parse_cue_number

_PLACE = re.compile(
    r"^((?:after|follows?)\s+\S+\s+[\d.]+(?:\s*\+\s*[\d.:/]+)?|(?:when|sees)\s+.+?,\s*about\s+[\d:.]+"
    r"|(?:when|sees)\s+.+|on\s+\S+(?:\s+\d+)?|\S+)\s*(.*)$",
    re.IGNORECASE,
)
"""When a new cue is, at the head of a line, and what happens, behind it."""


def read_new_cue(show: Show, item: Item, text: str) -> tuple[str, str, str]:
    """(department, place, label) of a new cue as it is typed."""
    who, _, rest = text.strip().partition(" ")
    if not who:
        raise ChangeError("who, when, what: lights 69/3 chorus")
    names = [(d.id, (d.name, d.letters)) for d in show.departments]
    department = one_of(who, names, "who")
    match = _PLACE.match(rest.strip())
    if match is None:
        raise ChangeError(f"when does {who} go? give a bar and beat 69/3, or a time 1:23.5")
    place, label = match.group(1), match.group(2).strip()
    parse_anchor(place, show, item)
    return department, place, label


def read_new_item(text: str) -> tuple[str, str, Fraction | None]:
    """(kind, name, length or None) from ``talk The ferry 1:30``; without a kind it is a song.

    The length may have units: ``interval Bar open 20 min``.

    Raises:
        ChangeError: there is no name, or the length cannot be read.
    """
    words = text.split()
    kind = "song"
    if words and words[0].lower() in KINDS:
        kind, words = words[0].lower(), words[1:]
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
    return kind, " ".join(words), length


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
