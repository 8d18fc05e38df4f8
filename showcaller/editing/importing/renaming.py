"""Songs that a file has under another name: recognised by their cues' place in the order, and asked about."""

from collections.abc import Sequence
from difflib import SequenceMatcher
from typing import Any

from showcaller.editing.changes import Move, SetFields, Take, Together
from showcaller.editing.importing.taking_order import Kept, dump
from showcaller.editing.importing.understood import Question
from showcaller.model import Item, Show

ALIKE = 0.6
"""Names as alike as this may be one song's (our choice; the ratio of difflib)."""
_NEAR_S = 15
"""Lengths as near as this may be one song's (our choice)."""


def renamed(show: Show, rows: Sequence[dict[str, Any] | Kept]) -> tuple[Question, ...]:
    """A question for each new song that stands where one stood that is in the file no more.

    Taken for the same: a name much like it, or, where cues would be lost, the same item before or after it
    and about the same length.
    """
    order = [row.item.id if isinstance(row, Kept) else row["id"] for row in rows]
    known = {item.id: item for item in show.items}
    gone = [item for item in show.items if item.id not in order]
    found = []
    for n, row in enumerate(rows):
        if isinstance(row, Kept) or row["id"] in known:
            continue
        beside = (order[n - 1] if n else None, order[n + 1] if n + 1 < len(order) else None)
        alike = [(how, item) for item in gone if (how := _alike(show, row, item, beside))]
        if alike:
            item = max(alike, key=lambda pair: pair[0])[1]
            gone.remove(item)
            found.append(_question(row, item, n))
    return tuple(found)


def _alike(show: Show, row: dict[str, Any], item: Item, beside: tuple[str | None, str | None]) -> float:
    """How much speaks for one song; 0 for too little."""
    if row["kind"] != item.kind:
        return 0.0
    names = SequenceMatcher(None, row["name"].lower(), item.name.lower()).ratio()
    at = [i.id for i in show.items].index(item.id)
    before = show.items[at - 1].id if at else None
    after = show.items[at + 1].id if at + 1 < len(show.items) else None
    near = abs(float(row["length_s"]) - float(item.length_s)) <= _NEAR_S
    place = (before == beside[0]) + (after == beside[1]) if near and item.cues else 0
    return names + place if names >= ALIKE or place else 0.0


def _question(row: dict[str, Any], item: Item, at: int) -> Question:
    cues = f": its {len(item.cues)} cues stay with it" if len(item.cues) > 1 else ": its cue stays with it"
    cues = cues if item.cues else ""
    before = dump(item)
    said = {k: v for k, v in row.items() if k not in ("id", "kind", "cues")}
    yes = Together(
        changes=(
            Take(at=("items",), key=row["id"]),
            SetFields(
                at=("items", item.id),
                fields={k: v for k, v in {**said, "out": bool(row.get("out"))}.items() if before.get(k) != v},
            ),
            Move(at=("items",), key=item.id, index=at),
        )
    )
    return Question(
        f"'{row['name']}' is '{item.name}' under another name{cues}",
        f"'{row['name']}' is new, and '{item.name}' is cut tonight",
        yes,
        item.name,
    )
