"""What changed from one show to another: followed by ids, so that a renamed song is not a new one."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any, Literal

from showcaller.editing.changes import Change, Move, Put, SetFields, Take, Together, stored
from showcaller.editing.comparing.words import (
    cue_does,
    cue_moved,
    cue_words,
    field_words,
    item_words,
    length_words,
)
from showcaller.editing.cues import remove_cue
from showcaller.editing.running_order import remove_item, tonight_s
from showcaller.model import Cue, Item, Show
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan
from showcaller.values import Struct

Kind = Literal["added", "removed", "moved", "changed"]

_LISTS = (
    "departments",
    "outlets",
    "clearances",
    "routes",
    "surfaces",
    "pools",
    "sources",
    "looks",
    "day",
    "pages",
    "remotes",
    "venues",
)
_SINGULAR = {
    "departments": "department", "outlets": "outlet", "clearances": "clearance", "routes": "route",
    "surfaces": "surface", "pools": "pool", "sources": "source", "looks": "look", "day": "the day's",
    "pages": "page", "remotes": "remote", "venues": "venue", "people": "person",
}  # fmt: skip


class Note(Struct, frozen=True):
    """One thing that changed, in words for the crew; ``back`` applied to the newer show undoes just this."""

    kind: Kind
    words: str
    item: str
    """The item's name; empty for what is of the whole show."""
    back: Change


class Comparison(Struct, frozen=True):
    """All that changed, in running order; how much longer the show is; which calls collide only now."""

    notes: tuple[Note, ...]
    longer_s: Fraction
    collisions: tuple[str, ...]
    resolved: tuple[str, ...]

    @property
    def summary(self) -> str:
        """One sentence."""
        if not self.notes:
            return "The two are the same."
        counts = [
            f"{sum(n.kind == kind for n in self.notes)} {kind}"
            for kind in ("added", "removed", "moved", "changed")
            if any(n.kind == kind for n in self.notes)
        ]
        n = len(self.collisions)
        more = f"; {n} {'call is' if n == 1 else 'calls are'} now too close together" if n else ""
        return f"{', '.join(counts)}; {length_words(self.longer_s)}{more}."


def compare(old: Show, new: Show) -> Comparison:
    """What happened between ``old`` and ``new``."""
    notes = (*_whole(old, new), *_lists(old, new), *_items(old, new))
    before, after = _collisions(old), _collisions(new)
    return Comparison(
        notes,
        tonight_s(new) - tonight_s(old),
        tuple(w for w in after if w not in before),
        tuple(w for w in before if w not in after),
    )


def _collisions(show: Show) -> list[str]:
    plan = compile_plan(show)
    return [
        f"{planned.item.name}: {c.sentence}"
        for planned, sheet in zip(plan.items, compile_show_calls(plan), strict=True)
        for c in sheet.collisions
    ]


def _whole(old: Show, new: Show) -> Iterator[Note]:
    for name in type(new).model_fields:
        if name in ("items", "format", "version", *_LISTS) or getattr(old, name) == getattr(new, name):
            continue
        was, now = _value(old, name), _value(new, name)
        words = f"{name.replace('_', ' ')} of the show: {field_words(was, now)}"
        yield Note("changed", words, "", SetFields(at=(), fields={name: was}))


def _lists(old: Show, new: Show) -> Iterator[Note]:
    for name in _LISTS:
        was = {_key(part, n): part for n, part in enumerate(getattr(old, name))}
        now = {_key(part, n): part for n, part in enumerate(getattr(new, name))}
        what = _SINGULAR[name]
        for n, (key, part) in enumerate(was.items()):
            if key not in now:
                back: Change = Put(at=(name,), index=n, part=stored(part))
                yield Note("removed", f"{what} {_name(part)} is gone", "", back)
        for n, (key, part) in enumerate(now.items()):
            if key not in was:
                take = Take(at=(name,), key=key if getattr(part, "id", None) else n)
                yield Note("added", f"{what} {_name(part)} is new", "", take)
            elif part != was[key]:
                yield _part_changed(name, n, what, was[key], part)


def _part_changed(name: str, n: int, what: str, was: Any, now: Any) -> Note:
    at: tuple[str | int, ...] = (name, getattr(now, "id", None) or n)
    if type(was) is not type(now):
        swap = (Take(at=(name,), key=at[1]), Put(at=(name,), index=n, part=stored(was)))
        return Note("changed", f"{what} {_name(now)} is of another kind", "", Together(changes=swap))
    fields = [f for f in type(now).model_fields if getattr(was, f) != getattr(now, f)]
    told = "; ".join(f"{f.replace('_', ' ')} {field_words(_value(was, f), _value(now, f))}" for f in fields)
    back = SetFields(at=at, fields={f: _value(was, f) for f in fields})
    return Note("changed", f"{what} {_name(now)}: {told}", "", back)


def _items(old: Show, new: Show) -> Iterator[Note]:
    was = {item.id: item for item in old.items}
    now = {item.id: item for item in new.items}
    homes = {c.id: (i, c) for i in old.items for c in i.cues}
    present = {c.id for c in new.all_cues()}
    order = {ident: n for n, ident in enumerate(was)}
    moved = moved_places([order[i] for i in now if i in order])
    common_new = [i for i in now if i in was]
    for n, item in enumerate(new.items):
        if item.id not in was:
            words = f"{item.name} is new, {_after(new.items, n)}"
            yield Note(
                "added", words, item.name, remove_item(new, item.id) if len(new.items) > 1 else _nothing()
            )
            yield from _cues(old, new, item, item, homes, fresh=True)
            continue
        if order[item.id] in moved:
            back = Move(at=("items",), key=item.id, index=_old_index(old, item.id, common_new))
            old_place = next(k for k, i in enumerate(old.items) if i.id == item.id)
            words = f"{item.name} now comes {_after(new.items, n)} (was {_after(old.items, old_place)})"
            yield Note("moved", words, item.name, back)
        yield from _item_changed(old, new, was[item.id], item)
        yield from _cues(old, new, was[item.id], item, homes, fresh=False)
        for k, cue in enumerate(was[item.id].cues):
            if cue.id not in present:
                put = Put(at=("items", item.id, "cues"), index=min(k, len(item.cues)), part=stored(cue))
                yield Note("removed", f"{cue_words(old, cue)} is gone", item.name, put)
    for n, item in enumerate(old.items):
        if item.id not in now:
            put = Put(at=("items",), index=min(n, len(new.items)), part=stored(item))
            yield Note("removed", f"{item.name} is gone, with {len(item.cues)} cues", item.name, put)


def _item_changed(old: Show, new: Show, was: Item, now: Item) -> Iterator[Note]:
    if was.kind != now.kind:
        words = f"{now.name} is now a {now.kind} (was a {was.kind})"
        place = next(n for n, item in enumerate(new.items) if item.id == now.id)
        take, put = Take(at=("items",), key=now.id), Put(at=("items",), index=place, part=stored(was))
        yield Note("changed", words, now.name, Together(changes=(take, put)))
        return
    for name in type(now).model_fields:
        if name in ("id", "kind", "cues") or getattr(was, name) == getattr(now, name):
            continue
        back = SetFields(at=("items", now.id), fields={name: _value(was, name)})
        yield Note("changed", item_words(old, new, was, now, name), now.name, back)


def _cues(
    old: Show, new: Show, was: Item, now: Item, homes: dict[str, tuple[Item, Cue]], fresh: bool
) -> Iterator[Note]:
    for cue in now.cues:
        if cue.id not in homes:
            if not fresh:
                words = f"{cue_words(new, cue)} is new, {cue_moved(new, now, cue)}{cue_does(new, cue)}"
                yield Note("added", words, now.name, remove_cue(new, cue.id))
            continue
        home, before = homes[cue.id]
        at = ("items", now.id, "cues", cue.id)
        if home.id != now.id:
            words = f"{cue_words(new, cue)} is now in {now.name} (was in {home.name})"
            yield Note("moved", words, now.name, _move_back(new, now, home, cue, before))
            continue
        for name in type(cue).model_fields:
            if getattr(before, name) == getattr(cue, name):
                continue
            back = SetFields(at=at, fields={name: _value(before, name)})
            if name == "anchor":
                here, there = cue_moved(new, now, cue), cue_moved(old, was, before)
                words = f"{cue_words(new, cue)} is now {here} (was {there})"
                yield Note("moved", words, now.name, back)
            elif name in ("number", "department"):
                words = f"{cue_words(old, before)} is now {cue_words(new, cue)}"
                yield Note("changed", words, now.name, back)
            else:
                told = field_words(_value(before, name), _value(cue, name), old, new)
                yield Note("changed", f"{cue_words(new, cue)}: {_field_name(name)} {told}", now.name, back)


def _move_back(new: Show, now: Item, home: Item, cue: Cue, before: Cue) -> Change:
    if all(i.id != home.id for i in new.items):
        return SetFields(at=("items", now.id, "cues", cue.id), fields={"anchor": _value(before, "anchor")})
    part = stored(before)
    return Together(
        changes=(
            Take(at=("items", now.id, "cues"), key=cue.id),
            Put(at=("items", home.id, "cues"), index=10_000, part=part),
        )
    )


def moved_places(places: Sequence[int]) -> set[int]:
    """Which of these must have moved: all but a longest rising run through them (patience sorting)."""
    tails: list[int] = []
    ends: list[int] = []
    before: list[int | None] = []
    for n, place in enumerate(places):
        at = bisect_left(tails, place)
        before.append(ends[at - 1] if at else None)
        if at == len(tails):
            tails.append(place)
            ends.append(n)
        else:
            tails[at] = place
            ends[at] = n
    keep: set[int] = set()
    last: int | None = ends[-1] if ends else None
    while last is not None:
        keep.add(places[last])
        last = before[last]
    return set(places) - keep


def _old_index(old: Show, item_id: str, common_new: list[str]) -> int:
    """Where the item was among those that are in both."""
    common_old = [i.id for i in old.items if i.id in set(common_new)]
    return common_old.index(item_id)


def _after(items: Sequence[Item], n: int) -> str:
    return f"after {items[n - 1].name}" if n else "first"


def _nothing() -> Change:
    return SetFields(at=(), fields={})


def _key(part: Any, n: int) -> Any:
    return getattr(part, "id", None) or n


def _name(part: Any) -> str:
    return str(getattr(part, "name", None) or getattr(part, "id", ""))


def _field_name(name: str) -> str:
    return {"standby_s": "standby", "warning_s": "warning", "label": "what"}.get(
        name, name.removesuffix("_s")
    )


def _value(part: Any, name: str) -> Any:
    return part.model_dump(mode="json", include={name})[name]
