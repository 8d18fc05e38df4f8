"""What every form's field is, and the reading of plain values."""

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from showcaller.editing.changes import Change, ChangeError
from showcaller.model import Show
from showcaller.model.quantities import parse_seconds, to_json
from showcaller.values import Struct


class FieldText(Struct, frozen=True):
    """A field of a form: its key, its label, what it says now, and what may be typed."""

    key: str
    label: str
    text: str
    hint: str


class Edited(Struct, frozen=True):
    """What typing into a field leads to: the words for undo, and the change; None if nothing changes."""

    words: str
    change: Change | None


_PARTS = "|".join(sorted(Show.model_fields, key=len, reverse=True))


def plain_sentence(words: str) -> str:
    """A refusal without the place in the document before it: who types into a field knows where that is."""
    head, colon, rest = words.partition(": ")
    place = colon and re.fullmatch(rf"(?:{_PARTS})\b[\w\[\]. -]*", head) and re.search(r"[\[\]._ ]", head)
    return rest if place else words


def seconds_of(text: str, label: str) -> int | float | str:
    """Seconds typed as ``8``, ``4.6``, ``1:23.5`` or ``1/3``, in the document's form.

    Raises:
        ChangeError: not a time, or below zero.
    """
    try:
        seconds = parse_seconds(text.strip().removesuffix("s").strip())
    except ValueError:
        raise ChangeError(f"{label}: '{text}' is not a time; give seconds (8) or m:ss (1:23.5)") from None
    if seconds < 0:
        raise ChangeError(f"{label}: {text} is below zero; give 0 or more")
    return to_json(seconds)


def seconds_text(seconds: Fraction | None) -> str:
    """Exact seconds as short as they can be typed; empty for none."""
    return "" if seconds is None else str(to_json(seconds))


def one_of(text: str, choices: Sequence[tuple[str, Sequence[str]]], label: str) -> str:
    """The key of the choice meant: its whole name, or a beginning that fits only one.

    Args:
        choices: (key, the names people call it by) pairs.

    Raises:
        ChangeError: none fits, or more than one.
    """
    wanted = text.strip().lower()
    if wanted in (key.lower() for key, _ in choices):
        return next(key for key, _ in choices if key.lower() == wanted)
    exact = list(dict.fromkeys(key for key, names in choices if wanted in (n.lower() for n in names)))
    if len(exact) > 1:
        raise ChangeError(
            f"{label}: there are {len(exact)} called '{text.strip()}'; give {' or '.join(exact)}"
        )
    if exact:
        return exact[0]
    starts = [
        key for key, names in choices if wanted and any(n.lower().startswith(wanted) for n in (key, *names))
    ]
    if len(starts) == 1:
        return starts[0]
    if len(starts) > 1:
        may = names_told(names[0] if names else key for key, names in choices if key in starts)
        raise ChangeError(f"{label}: '{text.strip()}' may be {may}; give more of its name")
    have = names_told(names[0] if names else key for key, names in choices) or "none yet"
    raise ChangeError(f"{label}: '{text.strip()}' is not one of them; there are {have}")


def names_told(names: Iterable[str]) -> str:
    """Names in a row, each once; in quotes where one has a comma of its own."""
    each = list(dict.fromkeys(names))
    return ", ".join(f"“{name}”" if any("," in one for one in each) else name for name in each)


def yes_or_no(text: str, label: str) -> bool:
    """A yes or a no.

    Raises:
        ChangeError: neither.
    """
    word = text.strip().lower()
    if word in ("yes", "y", "true", "1", "x"):
        return True
    if word in ("no", "n", "false", "0", ""):
        return False
    raise ChangeError(f"{label}: '{text}' is neither yes nor no")
