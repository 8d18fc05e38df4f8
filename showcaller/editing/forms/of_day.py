"""A thing of the day as a line: ``18:30-19:30 doors: North gate; crew 20; trucks 2; lights; note dock B``."""

import re
from typing import Any, get_args

from showcaller.editing.changes import ChangeError
from showcaller.editing.forms.field import one_of
from showcaller.editing.naming import free_id
from showcaller.model import DayItem, DayKind, Show

HINT = "18:30-19:30 doors: North gate; crew 20; trucks 2; Lights, Sound; a note"
TRUCK_HINT = "23:40-00:20 truck: Truck 3; dock B; carries motors, truss; Lights; crew 12"

_LINE = re.compile(r"^([\d:]+)(?:\s*[-–]\s*([\d:]+))?\s+(.+)$")
_COUNT = re.compile(r"^(crew|trucks?)\s+(\d+)$", re.IGNORECASE)
_SAID_FIRST = re.compile(r"^(note|dock|carries)\s+(.+)$", re.IGNORECASE | re.DOTALL)
_FIELDS = {"note": "notes", "dock": "dock", "carries": "carries"}

_SAID = {
    "get-in": ("get in", "load-in"), "line check": ("linecheck",), "sound check": ("soundcheck",),
    "get-out": ("get out", "load-out"),
}  # fmt: skip
"""What a kind is called as well."""


def day_text(show: Show, item: DayItem) -> str:
    """A thing of the day as :func:`parse_day` reads it."""
    names = {d.id: d.name for d in show.departments}
    ends = f"-{item.ends_at}" if item.ends_at else ""
    parts = [
        f"{item.starts_at}{ends} {item.kind}: {item.name}",
        f"crew {item.crew}" if item.crew else "",
        f"trucks {item.trucks}" if item.trucks else "",
        f"dock {item.dock}" if item.dock else "",
        f"carries {item.carries}" if item.carries else "",
        ", ".join(names[d] for d in item.departments),
        f"note {item.notes}" if item.notes else "",
    ]
    return "; ".join(part for part in parts if part)


def parse_day(show: Show, text: str, old: DayItem | None = None) -> dict[str, Any]:
    """A thing of the day in the document's form; it keeps the id of ``old``.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    head, *rest = [part.strip() for part in text.split(";")]
    match = _LINE.match(head)
    if not match:
        raise ChangeError(f"'{head}' does not begin with a time; give {HINT}")
    starts, ends, what = match.groups()
    kind, colon, name = what.partition(":")
    if not colon:
        kind, name = _kind_of(what), what
    else:
        kind = one_of(kind, [(k, _SAID.get(k, ())) for k in get_args(DayKind)], "kind")
    part: dict[str, Any] = {"kind": kind, "name": name.strip() or kind, "starts_at": _clock(starts)}
    if ends:
        part["ends_at"] = _clock(ends)
    for word in rest:
        if count := _COUNT.match(_turned(word)):
            part["crew" if count.group(1).lower() == "crew" else "trucks"] = int(count.group(2))
        elif said := _SAID_FIRST.match(word):
            part[_FIELDS[said.group(1).lower()]] = said.group(2).strip()
        elif word:
            choices = [(d.id, (d.name, d.letters)) for d in show.departments]
            try:
                part["departments"] = [one_of(w, choices, "department") for w in word.split(",") if w.strip()]
            except ChangeError:
                part["notes"] = "; ".join(w for w in (part.get("notes", ""), word) if w)
    part["id"] = old.id if old is not None else free_id(part["name"], {d.id for d in show.day})
    return part


def _turned(word: str) -> str:
    """``3 trucks`` as ``trucks 3``."""
    parts = word.split()
    return " ".join(reversed(parts)) if len(parts) == 2 and parts[0].isdigit() else word


def _kind_of(words: str) -> str:
    lower = words.lower()
    names = ((k, (k, *_SAID.get(k, ()))) for k in get_args(DayKind) if k != "other")
    return next((k for k, said in names if lower.startswith(said)), "other")


def _clock(text: str) -> str:
    parts = text.split(":")
    well = len(parts) in (2, 3) and all(p.isdecimal() and len(p) <= 2 for p in parts)
    if not well or int(parts[0]) > 23 or any(int(p) > 59 for p in parts[1:]):
        raise ChangeError(f"'{text}' is not a time of day; give hh:mm, such as 18:30")
    return ":".join(p.zfill(2) for p in parts)
