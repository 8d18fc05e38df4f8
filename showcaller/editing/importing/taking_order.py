"""What taking in a running order does to a show, and the sentence that says so."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from showcaller.editing.changes import Change, Move, Put, SetFields, Take, Together
from showcaller.editing.importing.understood import UNTOUCHED
from showcaller.model import Item, Show
from showcaller.model.clockwords import m_ss

_NAMED = 3


@dataclass(frozen=True, slots=True)
class Kept:
    """An item that is in the file, in a row that cannot be read: it keeps its place in the order as it is."""

    item: Item


def change_of(show: Show, rows: list[dict[str, Any] | Kept]) -> tuple[Change | None, str]:
    """(what importing ``rows`` does, in a sentence), in the order of the file; None if no row can be used."""
    parts = [row for row in rows if not isinstance(row, Kept)]
    kept = [row.item for row in rows if isinstance(row, Kept)]
    if not parts:
        return None, "no row could be used"
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
    changed = 0
    for part in parts:
        own = _changes(known[part["id"]], part, len(show.items)) if part["id"] in known else []
        changes += own
        changed += bool(own)
    changes += [Take(at=("items",), key=item.id) for item in unused]
    changes += [SetFields(at=("items", item.id), fields={"out": True}) for item in stay if not item.out]
    order += [item.id for item in stay]
    changes += [Move(at=("items",), key=item, index=n) for n, item in enumerate(order)]
    new = sum(part["id"] not in known for part in parts)
    lengths = [Fraction(str(part["length_s"])) for part in parts if not part.get("out")]
    total = sum(lengths + [item.length_s for item in kept if not item.out], Fraction(0))
    words = [f"{new} new", f"{changed} changed"]
    if kept:
        words.append(f"{_some(kept)} as {'they are' if len(kept) > 1 else 'it is'}")
    if stay:
        words.append(
            f"{len(stay)} not in the file stay{'s' if len(stay) == 1 else ''}, cut tonight ({_some(stay)})"
        )
    return Together(
        changes=tuple(changes)
    ), f"{len(rows)} items, {m_ss(round(total))} in all: {', '.join(words)}"


def _changes(item: Item, part: dict[str, Any], last: int) -> list[Change]:
    if item.kind != part["kind"]:
        return [Take(at=("items",), key=item.id), Put(at=("items",), index=last, part=part)]
    before = dump(item)
    fields = {k: part.get(k, _default(item, k)) for k in {*before, *part} if before.get(k) != part.get(k)}
    return [SetFields(at=("items", item.id), fields=fields)] if fields else []


def _some(items: list[Item]) -> str:
    names = [item.name for item in items[:_NAMED]]
    if len(items) > _NAMED:
        return f"{', '.join(names)} and {len(items) - _NAMED} more"
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _default(item: Item, key: str) -> Any:
    field = type(item).model_fields[key]
    return field.get_default(call_default_factory=True)


def dump(part: Any) -> dict[str, Any]:
    """A part of a show as its document has it, without what is as usual."""
    data: dict[str, Any] = part.model_dump(mode="json", exclude_defaults=True)
    return data
