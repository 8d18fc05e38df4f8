"""What a change found in its place, and what it does, in words. Pure.

A change is taken at another machine only if it would undo there what it would undo here: then nobody has been
at the same place meanwhile, and it says what its author meant.
"""

import json
from typing import Any

from showcaller.editing.changes import (
    Change,
    ChangeError,
    Move,
    Put,
    SetFields,
    Take,
    Together,
    part_at,
    stored,
)
from showcaller.model import Show
from showcaller.model.clockwords import m_ss_part


def seen_of(show: Show, change: Change, inverse: Change) -> Any:
    """What stood in the place of ``change`` in ``show``, as JSON; ``inverse`` is what takes it back."""
    return json.loads(json.dumps([_found(inverse), *_around(show, change)]))


def _found(inverse: Change) -> Any:
    match inverse:
        case Together():
            return [_found(one) for one in inverse.changes]
        case SetFields():
            return ["set", inverse.at, inverse.fields]
        case Put():
            place = [] if "id" in inverse.part else [inverse.index]
            return ["put", inverse.at, inverse.part, *place]
        case Take():
            return ["take", inverse.at, inverse.key]
        case Move():
            place = [] if isinstance(inverse.key, str) else [inverse.index]
            return ["move", inverse.at, inverse.key, *place]


def _around(show: Show, change: Change) -> list[Any]:
    """Parts that are known by their place alone, whole: there may be another in that place by now."""
    if isinstance(change, Together):
        return [part for one in change.changes for part in _around(show, one)]
    if not any(isinstance(step, int) for step in change.at):
        return []
    at = change.at if isinstance(change, SetFields) else change.at[:-1]
    try:
        return [stored(part_at(show, at))]
    except ChangeError:  # it is made by the same change
        return [None]


def places_of(change: Change) -> list[tuple[str, ...]]:
    """Every place that a change is at."""
    match change:
        case Together():
            return [place for one in change.changes for place in places_of(one)]
        case SetFields():
            return [(*map(str, change.at), name) for name in change.fields]
        case Put():
            return [(*map(str, change.at), str(change.part.get("id", change.index)))]
        case Take() | Move():
            return [(*map(str, change.at), str(change.key))]


def meet(one: Change, other: Change) -> bool:
    """Whether two changes are at the same place, or one in what the other puts in, takes out or moves."""
    return any(a[: len(b)] == b or b[: len(a)] == a for a in places_of(one) for b in places_of(other))


def field_words(show: Show, change: Change) -> str:
    """``the length of "Iron Gulls"``, for a change of one field of a part with a name; else empty."""
    if not isinstance(change, SetFields) or len(change.fields) != 1:
        return ""
    try:
        part = part_at(show, change.at)
    except ChangeError:
        return ""
    name = next((str(n) for n in (getattr(part, "name", ""), getattr(part, "label", "")) if n), "")
    field = next(iter(change.fields))
    words = field.removesuffix("_s").replace("_", " ")
    return f'the {words} of "{name}"' if name else ""


def value_words(change: Change) -> str:
    """The value that a change of one field sets, as a person reads it; empty for any other change."""
    if not isinstance(change, SetFields) or len(change.fields) != 1:
        return ""
    field, value = next(iter(change.fields.items()))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float) and field.endswith("_s"):
        return m_ss_part(float(value), 3).rstrip("0").rstrip(".")
    if value is None:
        return "nothing"
    return str(value) if isinstance(value, str | int | float) else ""
