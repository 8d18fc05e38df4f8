"""Changes of cues: placed, moved, copied, removed, renumbered."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from pydantic import ValidationError

from showcaller.editing.changes import Change, ChangeError, Put, SetFields, Take, Together, stored
from showcaller.editing.naming import CueIds, cue_ids, free_id, number_between, numbers
from showcaller.editing.placing import anchor_text, cue_name
from showcaller.model import (
    AfterAnchor,
    BarAnchor,
    Cue,
    Item,
    MidiShowControl,
    Show,
    TimeAnchor,
    TimecodeAnchor,
    WordAnchor,
)
from showcaller.model.quantities import parse_cue_number, to_json
from showcaller.model.references import item_with_cue
from showcaller.timing.plan import PlannedCue, compile_item


def item_of(show: Show, cue_id: str) -> Item:
    """The item a cue is in.

    Raises:
        ChangeError: there is no such cue.
    """
    item = item_with_cue(show, cue_id)
    if item is not None:
        return item
    raise ChangeError(f"there is no cue '{cue_id}' in this show; it may have been removed")


def cue_of(show: Show, cue_id: str) -> Cue:
    """The cue with this id.

    Raises:
        ChangeError: there is none.
    """
    return next(cue for cue in item_of(show, cue_id).cues if cue.id == cue_id)


def item_at(show: Show, item_id: str) -> Item:
    """The item with this id.

    Raises:
        ChangeError: there is none.
    """
    for item in show.items:
        if item.id == item_id:
            return item
    raise ChangeError(f"there is no item '{item_id}' in this show; it may have been removed")


def cue_told(show: Show, item: Item, part: dict[str, Any]) -> str:
    """``Lights 39.5 at 25/1 in Salt Letters: wash out``: a cue as it will be stored in an item, for people
    who do not see it."""
    try:
        cue = Cue.model_validate(part)
    except ValidationError:  # whoever makes the change says what is wrong with it
        return f"{show.department(part['department']).name} {part['number']} in {item.name}"
    place = anchor_text(cue.anchor, show, item)
    at = "at " if isinstance(cue.anchor, BarAnchor | TimeAnchor | TimecodeAnchor) else ""
    return f"{cue_name(show, cue)} {at}{place} in {item.name}: {cue.label}"


def cue_path(item_id: str, cue_id: str) -> tuple[str | int, ...]:
    """Where a cue is in the document."""
    return ("items", item_id, "cues", cue_id)


def planned_cue(show: Show, item: Item, cue_id: str) -> PlannedCue:
    """A cue with its instant."""
    planned = compile_item(item, show.timecode_rate)
    return next(p for p in planned.cues if p.cue.id == cue_id)


def free_number(show: Show, item: Item, department: str, at_s: Fraction) -> Decimal:
    """A free number for a new cue there: between its department's neighbours in the running order."""
    place = next(n for n, one in enumerate(show.items) if one.id == item.id)
    own = [p for p in compile_item(item, show.timecode_rate).cues if p.cue.department == department]
    before = next((p.cue.number for p in reversed(own) if p.at_s <= at_s), None)
    after = next((p.cue.number for p in own if p.at_s > at_s), None)
    # Items further away are looked at only as far as need be: there may be hundreds.
    if before is None:
        before = _nearest(show, reversed(show.items[:place]), department, -1)
    if after is None:
        after = _nearest(show, iter(show.items[place + 1 :]), department, 0)
    return number_between(before, after, numbers(show, department))


def _nearest(show: Show, items: Iterator[Item], department: str, which: int) -> Decimal | None:
    """The number of the department's last (-1) or first (0) cue in the first of these that has one."""
    for one in items:
        if any(cue.department == department for cue in one.cues):
            planned = compile_item(one, show.timecode_rate).cues
            return [p.cue.number for p in planned if p.cue.department == department][which]
    return None


def add_cue(
    show: Show, item_id: str, department: str, anchor: dict[str, Any], at_s: Fraction, label: str = "new cue"
) -> tuple[Change, str]:
    """(the change, the new cue's id) of a called cue; ``at_s`` is where its anchor falls in the item."""
    item = item_at(show, item_id)
    number = free_number(show, item, department, at_s)
    new = free_id(f"{department}-{number}", CueIds(show))
    part = {"id": new, "department": department, "number": str(number), "label": label, "anchor": anchor}
    return Put(at=("items", item_id, "cues"), index=len(item.cues), part=part), new


def move_cue(show: Show, cue_id: str, anchor: dict[str, Any]) -> Change:
    """Hang a cue on another anchor in its own item."""
    return SetFields(at=cue_path(item_of(show, cue_id).id, cue_id), fields={"anchor": anchor})


def move_cue_to(show: Show, cue_id: str, item_id: str) -> Change:
    """Move a cue into another item, at the same bar or time; what followed it there stays behind in time.

    On a word, it is at the word's time there.
    """
    item = item_of(show, cue_id)
    target = item_at(show, item_id)
    if target.id == item.id:
        raise ChangeError(f"{cue_name(show, cue_of(show, cue_id))} is in {item.name} already")
    part = stored(cue_of(show, cue_id)) | {"anchor": _anchor_there(show, item, target, cue_id)}
    return Together(
        changes=(
            *_freed(show, item, cue_id),
            Take(at=("items", item.id, "cues"), key=cue_id),
            Put(at=("items", target.id, "cues"), index=len(target.cues), part=part),
        )
    )


def copy_cues(show: Show, ids: Sequence[str], item_id: str, bars: int = 0) -> tuple[Change, tuple[str, ...]]:
    """(the change, the new ids) of copies in an item, ``bars`` later, each with a free number of its own.

    One on a word stays on it in its own song, and is at the word's time
    elsewhere. A follow-on among them follows the copy; one whose leader is not copied goes to its own time.
    """
    target = item_at(show, item_id)
    taken = cue_ids(show)
    used: dict[str, list[Decimal]] = {}
    new_ids: dict[str, str] = {}
    for cue_id in ids:
        new_ids[cue_id] = free_id(cue_id, taken)
        taken.add(new_ids[cue_id])
    changes: list[Change] = []
    for n, cue_id in enumerate(ids):
        item, cue = item_of(show, cue_id), cue_of(show, cue_id)
        have = used.setdefault(cue.department, numbers(show, cue.department))
        number = number_between(cue.number, None, have)
        have.append(number)
        anchor = cue.anchor
        if isinstance(anchor, AfterAnchor) and anchor.cue in new_ids:
            there = stored(anchor) | {"cue": new_ids[anchor.cue]}
        elif isinstance(anchor, BarAnchor) and _bars(target):
            there = stored(anchor) | {"bar": anchor.bar + bars}
        elif isinstance(anchor, WordAnchor) and target.id == item.id and not bars:
            there = stored(anchor)
        else:
            there = _anchor_there(show, item, target, cue_id)
        part = stored(cue) | {"id": new_ids[cue_id], "number": str(number), "anchor": there}
        changes.append(Put(at=("items", item_id, "cues"), index=len(target.cues) + n, part=part))
    return Together(changes=tuple(changes)), tuple(new_ids.values())


def remove_cue(show: Show, cue_id: str) -> Change:
    """Take a cue out; what followed it keeps its instant by the clock."""
    item = item_of(show, cue_id)
    return Together(changes=(*_freed(show, item, cue_id), Take(at=("items", item.id, "cues"), key=cue_id)))


def renumber(
    show: Show, department: str, first: Decimal, last: Decimal, start: Decimal, step: Decimal
) -> Change:
    """Number a department's cues from ``first`` to ``last`` anew, in running order: start, start + step, …

    Follow-ons keep their leader, since that is named by its id; a MIDI Show Control message that carries
    the cue's old number carries its new one.

    Raises:
        ChangeError: there are none, the step is not above zero, or a new number is in use beyond the range.
    """
    if step <= 0:
        raise ChangeError(f"a step of {step} does not count on; give 1, or 10 to count by tens")
    chosen: list[tuple[str, Cue]] = []
    others: set[Decimal] = set()
    for item in show.items:
        for planned in compile_item(item, show.timecode_rate).cues:
            cue = planned.cue
            if cue.department == department:
                if first <= cue.number <= last:
                    chosen.append((item.id, cue))
                else:
                    others.add(cue.number)
    name = show.department(department).name
    if not chosen:
        raise ChangeError(f"{name} has no cue from {first} to {last}")
    changes: list[Change] = []
    for n, (item_id, cue) in enumerate(chosen):
        try:
            number = parse_cue_number(start + step * n)
        except ValueError as error:
            raise ChangeError(f"{name} {cue.number} would get {start + step * n}: {error}") from None
        if number in others:
            raise ChangeError(f"{name} {number} is in use outside {first} to {last}; start elsewhere")
        if number != cue.number:
            fields: dict[str, Any] = {"number": str(number)}
            messages = [_renumbered(stored(m), m, cue.number, number) for m in cue.messages]
            if messages != [stored(m) for m in cue.messages]:
                fields["messages"] = messages
            changes.append(SetFields(at=cue_path(item_id, cue.id), fields=fields))
    if not changes:
        raise ChangeError(f"{name} {first} to {last} have these numbers already")
    return Together(changes=tuple(changes))


def _renumbered(data: dict[str, Any], message: object, old: Decimal, new: Decimal) -> dict[str, Any]:
    if isinstance(message, MidiShowControl) and message.cue == str(old):
        return data | {"cue": str(new)}
    return data


def _freed(show: Show, item: Item, cue_id: str) -> list[Change]:
    """Followers of a cue that goes away, each at its own instant."""
    planned = compile_item(item, show.timecode_rate)
    changes: list[Change] = []
    for one in planned.cues:
        anchor = one.cue.anchor
        if isinstance(anchor, AfterAnchor) and anchor.cue == cue_id:
            there = {"at": "time", "seconds": to_json(one.at_s)}
            changes.append(SetFields(at=cue_path(item.id, one.cue.id), fields={"anchor": there}))
    return changes


def _anchor_there(show: Show, item: Item, target: Item, cue_id: str) -> dict[str, Any]:
    """The cue's anchor as it can be in another item: the same bar, or the same time."""
    planned = planned_cue(show, item, cue_id)
    anchor = planned.cue.anchor
    if anchor.at in ("time", "visual") or (anchor.at == "bar" and _bars(target)):
        return stored(anchor)
    return {"at": "time", "seconds": to_json(min(planned.at_s, target.length_s))}


def _bars(item: Item) -> bool:
    return bool(getattr(item, "tempo", ()))
