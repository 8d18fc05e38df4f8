"""What taking in a running order does to a show, and the sentence that says so."""

from fractions import Fraction
from typing import Any

from showcaller.editing.changes import Change, Move, Put, SetFields, Take, Together
from showcaller.editing.importing.understood import UNTOUCHED, Counts
from showcaller.model import Item, Show
from showcaller.model.clockwords import m_ss
from showcaller.values import Struct


class Kept(Struct, frozen=True):
    """An item that is in the file, in a row that cannot be read: it keeps its place in the order as it is."""

    item: Item


def change_of(show: Show, rows: list[dict[str, Any] | Kept]) -> tuple[Change | None, Counts | None]:
    """(what importing ``rows`` does, how many of each), in the order of the file; None if no row will do."""
    parts = [row for row in rows if not isinstance(row, Kept)]
    kept = [row.item for row in rows if isinstance(row, Kept)]
    if not parts:
        return None, None
    names = {part["name"].lower(): part["id"] for part in parts} | {i.name.lower(): i.id for i in show.items}
    for part in parts:
        if isinstance(part.get("instead_of"), str):
            wanted = part["instead_of"]
            part["instead_of"] = names.get(wanted.lower(), wanted)
    order = [row.item.id if isinstance(row, Kept) else row["id"] for row in rows]
    left = [item for item in show.items if item.id not in set(order)]
    unused = [item for item in left if item.name == UNTOUCHED and not item.cues]
    stay = [item for item in left if item not in unused]
    known = {item.id: item for item in show.items}
    changes: list[Change] = [
        Put(at=("items",), index=len(show.items) + n, part=part)
        for n, part in enumerate(part for part in parts if part["id"] not in known)
    ]
    changed: list[str] = []
    for part in parts:
        if part["id"] in known:
            own = _changes(known[part["id"]], part, len(show.items))
            changes += own
            changed += [_changed_words(known[part["id"]], part)] if own else []
    changes += [Take(at=("items",), key=item.id) for item in unused]
    changes += [SetFields(at=("items", item.id), fields={"out": True}) for item in stay if not item.out]
    order += [item.id for item in stay]
    changes += [Move(at=("items",), key=item, index=n) for n, item in enumerate(order)]
    new = sum(part["id"] not in known for part in parts)
    lengths = [Fraction(str(part["length_s"])) for part in parts if not part.get("out")]
    total = sum(lengths + [item.length_s for item in kept if not item.out], Fraction(0))
    same = len(parts) - new - len(changed)
    left_in, left_out = (tuple(i.name for i in some) for some in (kept, stay))
    counts = Counts(len(rows), round(total), new, len(changed), same, left_in, left_out, tuple(changed))
    return Together(changes=tuple(changes)), counts


def _changes(item: Item, part: dict[str, Any], last: int) -> list[Change]:
    if item.kind != part["kind"]:
        return [Take(at=("items",), key=item.id), Put(at=("items",), index=last, part=part)]
    before = dump(item)
    if {**part, "doubts": None} == {**before, "doubts": None}:
        return []  # what somebody has confirmed since is not asked about again
    fields = {k: part.get(k, _default(item, k)) for k in {*before, *part} if before.get(k) != part.get(k)}
    return [SetFields(at=("items", item.id), fields=fields)] if fields else []


_SAID = {"length_s": "length", "kind": "what it is", "out": "cut tonight", "cuttable": "may be cut"}


def _changed_words(item: Item, part: dict[str, Any]) -> str:
    """``Tideline: 6:30 now 6:10``: what of an item the file has otherwise."""
    before = dump(item)
    keys = [k for k in {**before, **part} if k != "doubts" and before.get(k) != part.get(k)]
    if "length_s" in keys and not set(keys) - {"length_s"}:
        was, now = (m_ss(round(Fraction(str(x)))) for x in (item.length_s, part["length_s"]))
        return f"{item.name}: {was} now {now}"
    words = (_SAID.get(k, k.removesuffix("_s").replace("_", " ")) for k in keys)
    return f"{item.name}: {', '.join(words)}"


def _default(item: Item, key: str) -> Any:
    field = type(item).model_fields[key]
    return field.get_default(call_default_factory=True)


def dump(part: Any) -> dict[str, Any]:
    """A part of a show as its document has it, without what is as usual."""
    data: dict[str, Any] = part.model_dump(mode="json", exclude_defaults=True)
    return data
