"""Every reference inside a show document leads somewhere, and nothing is named twice.

Each finding is a (path, sentence) pair; the sentence says what would do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from showcaller.model.anchors import BY_EAR_OR_EYE, AfterAnchor, WordAnchor
from showcaller.model.base import kept_with_part
from showcaller.model.items import Song, WalkOn
from showcaller.model.messages import OscMessage
from showcaller.model.outlets import MidiOutlet, OscTcpOutlet
from showcaller.model.reports import TcpReports
from showcaller.model.wallreferences import override_errors, surface_errors, wall_errors, wall_holds
from showcaller.values import Struct

if TYPE_CHECKING:
    from showcaller.model.cues import Cue
    from showcaller.model.items import Item
    from showcaller.model.messages import Message
    from showcaller.model.show import Show
    from showcaller.model.wall import LookChange

Finding = tuple[str, str]

_FEW = 4
"""An edit of so many items is one of single items."""

_NO_CODE = ("50", "59.94 drop")
"""Rates that neither MIDI Time Code nor linear timecode (SMPTE ST 12-1) carries."""


def reference_errors(show: Show) -> Iterator[Finding]:
    """All references of ``show`` that do not hold, in document order."""
    lists = (
        "departments",
        "outlets",
        "clearances",
        "routes",
        "sources",
        "looks",
        "surfaces",
        "pools",
        "sends",
        "day",
        "pages",
        "venues",
        "people",
        "items",
    )
    for name in lists:
        yield from _twice(name, getattr(show, name))
    yield from surface_errors(show)
    known = _Known(show)
    yield from _reports(show)
    yield from _cue_lights(show, known)
    for i, route in enumerate(show.routes):
        for j, leg in enumerate(route.legs):
            yield from known.missing(f"routes[{i}].legs[{j}].clearances", "clearance", leg.clearances)
    for v, venue in enumerate(show.venues):
        for i, route in enumerate(venue.routes):
            for j, leg in enumerate(route.legs):
                where = f"venues[{v}].routes[{i}].legs[{j}].clearances"
                yield from known.missing(where, "clearance", leg.clearances)
    for i, look in enumerate(show.looks):
        for j, layer in enumerate(look.layers):
            yield from known.missing(f"looks[{i}].layers[{j}].source", "source", [layer.source])
    yield from wall_errors(show, known.missing)
    if show.timecode_in is not None and show.timecode_rate in _NO_CODE:
        yield (
            "timecode_in",
            f"timecode comes in at 30 frames a second at most, and the show's rate is {show.timecode_rate}; "
            "change the show's rate, or take timecode in out",
        )
    for i, page in enumerate(show.pages):
        for field in ("item", "after"):
            named = getattr(page, field)
            if named is not None:
                yield from known.missing(f"pages[{i}].{field}", "item", [named])
        for j, line in enumerate(page.lines):
            if line.clearance is not None:
                yield from known.missing(f"pages[{i}].lines[{j}].clearance", "clearance", [line.clearance])
    for i, thing in enumerate(show.day):
        yield from known.missing(f"day[{i}].departments", "department", thing.departments)
    yield from _items(show, known)


def holds(show: Show) -> bool:
    """Whether :func:`reference_errors` finds nothing; quick after a change, as items are looked at once."""
    lists = (show.departments, show.outlets, show.clearances, show.routes, show.sources, show.looks, show.day)
    ids: list[set[str]] = [{part.id for part in parts} for parts in lists]
    departments, _, clearances, routes, sources, looks, _ = ids
    facts = [_facts(item) for item in show.items]
    items = {item.id for item in show.items}
    carries = {o.id: isinstance(o, MidiOutlet) for o in show.outlets}
    return (
        all(len(found) == len(parts) for found, parts in zip(ids, lists, strict=True))
        and len(items) == len(show.items)
        and not all(item.out for item in show.items)
        and _names_hold(facts)
        and all(one.sound for one in facts)
        and all(one.departments <= departments for one in facts)
        and all(one.clearances <= clearances for one in facts)
        and all(one.looks <= looks for one in facts)
        and all(carries.get(o) is midi for one in facts for o, midi in one.outlets)
        and all(item.route in routes for item in show.items if isinstance(item, WalkOn) and item.route)
        and all(item.instead_of in items for item in show.items if item.instead_of is not None)
        and all(set(leg.clearances) <= clearances for route in show.routes for leg in route.legs)
        and len({venue.id for venue in show.venues}) == len(show.venues)
        and len({person.id for person in show.people}) == len(show.people)
        and all(set(x.clearances) <= clearances for v in show.venues for r in v.routes for x in r.legs)
        and all(layer.source in sources for look in show.looks for layer in look.layers)
        and all(set(thing.departments) <= departments for thing in show.day)
        and len({page.id for page in show.pages}) == len(show.pages)
        and all(x is None or x in items for page in show.pages for x in (page.item, page.after))
        and all(x.clearance is None or x.clearance in clearances for page in show.pages for x in page.lines)
        and not (show.timecode_in is not None and show.timecode_rate in _NO_CODE)
        and not any(_reports(show))
        and all(
            carries.get(message.outlet) is (message.kind != "osc")
            for department in show.departments
            for message in department.cue_light.every
        )
        and wall_holds(show, [change for one in facts for change in one.overriding])
    )


_held_last: list[_Facts] = []
"""The facts of the show that was looked at last in which :func:`_names_hold`."""


def _names_hold(facts: list[_Facts]) -> bool:
    """Whether no cue and no number is there twice, and every cue that another follows is there.

    After an edit only what has come and what has gone is looked for in the other items: putting the names of
    ten thousand cues together anew is half of what an edit costs.
    """
    global _held_last  # noqa: PLW0603 - replaced as a whole, so that threads see one show or another
    before = _held_last
    changed = [n for n, (a, b) in enumerate(zip(before, facts, strict=False)) if a is not b]
    if len(before) == len(facts) and len(changed) <= _FEW:
        found = all(_come_alone(facts, n, before[n]) for n in changed) and _followed_still(
            facts, [(before[n], facts[n]) for n in changed]
        )
    else:
        cues = set().union(*[one.cue_set for one in facts])
        numbers = set().union(*[one.numbers for one in facts])
        total = sum(len(one.cues) for one in facts)
        found = len(cues) == len(numbers) == total and all(one.follows <= cues for one in facts)
    if found:
        _held_last = facts
    return found


def _come_alone(facts: list[_Facts], place: int, was: _Facts) -> bool:
    """Whether the cues and numbers that are new in an item are there once, and in no other item."""
    now = facts[place]
    if not len(now.cues) == len(now.cue_set) == len(now.numbers):
        return False
    cues, numbers = now.cue_set - was.cue_set, now.numbers - was.numbers
    return (not cues and not numbers) or all(
        cues.isdisjoint(one.cue_set) and numbers.isdisjoint(one.numbers)
        for n, one in enumerate(facts)
        if n != place
    )


def _followed_still(facts: list[_Facts], changed: list[tuple[_Facts, _Facts]]) -> bool:
    """Whether nobody follows a cue that has gone, and what is followed anew is there."""
    there = frozenset().union(*[b.cue_set for _, b in changed])
    gone = frozenset().union(*[a.cue_set for a, _ in changed]) - there
    if gone and not all(gone.isdisjoint(one.follows) for one in facts):
        return False
    anew = frozenset().union(*[b.follows - a.follows for a, b in changed]) - there
    return all(any(cue in one.cue_set for one in facts) for cue in anew)


def item_with_cue(show: Show, cue_id: str) -> Item | None:
    """The item that holds a cue; quick, as what each item holds is remembered."""
    for item in show.items:
        if cue_id in _facts(item).cue_set:
            return item
    return None


class _Facts(Struct, frozen=True):
    """What an item names, and whether what can be said of it alone holds."""

    cues: tuple[str, ...]
    numbers: frozenset[str]
    """Department and number as one text, which is compared and hashed far quicker than a decimal."""
    departments: frozenset[str]
    clearances: frozenset[str]
    looks: frozenset[str]
    follows: frozenset[str]
    outlets: frozenset[tuple[str, bool]]
    overriding: tuple[LookChange, ...]
    sound: bool
    cue_set: frozenset[str]


@kept_with_part
def _facts(item: Item) -> _Facts:
    has_tempo = isinstance(item, Song) and bool(item.tempo)
    cues: list[str] = []
    numbers: list[str] = []
    departments: set[str] = set()
    clearances: set[str] = set()
    looks: set[str] = set()
    follows: set[str] = set()
    outlets: set[tuple[str, bool]] = set()
    overriding: list[LookChange] = []
    sound, words = _lyrics_hold(item, has_tempo), _words_of(item)
    for cue in item.cues:  # once: this is a fifth of opening a large show
        cues.append(cue.id)
        numbers.append(f"{cue.department} {_number(cue.number)}")
        departments.add(cue.department)
        anchor, look = cue.anchor, cue.look
        if cue.needs:
            clearances.update(cue.needs)
        if look is not None:
            looks.add(look.look)
            if look.overrides:
                overriding.append(look)
        if anchor.at == "after":
            follows.add(anchor.cue)
        elif anchor.at == "bar":
            sound = sound and has_tempo
        elif anchor.at == "word":
            sound = sound and anchor.word <= words.get(anchor.line, 0)
        if cue.fires == "by itself" and (anchor.at in BY_EAR_OR_EYE or cue.hazard is not None):
            sound = False
        for message in cue.messages:
            outlets.add((message.outlet, message.kind != "osc"))
    return _Facts(
        tuple(cues), frozenset(numbers), frozenset(departments), frozenset(clearances), frozenset(looks),
        frozenset(follows), frozenset(outlets), tuple(overriding), sound, frozenset(cues),
    )  # fmt: skip


def _words_of(item: Item) -> dict[str, int]:
    """How many words each line of an item's lyrics has."""
    return {line.id: len(line.words) for line in item.lyrics} if isinstance(item, Song) else {}


def _lyrics_hold(item: Item, has_tempo: bool) -> bool:
    if not isinstance(item, Song) or not item.lyrics:
        return True
    ids = {line.id for line in item.lyrics}
    return len(ids) == len(item.lyrics) and (has_tempo or all(line.bar is None for line in item.lyrics))


@lru_cache(maxsize=8192)
def _number(number: Decimal) -> str:
    """A cue's number as it is compared: equal numbers are one text, however they are written."""
    return f"{number.normalize():f}"


class _Known:
    """The ids that may be named, by what they name."""

    def __init__(self, show: Show) -> None:
        self.ids: dict[str, dict[str, Any]] = {
            "department": {d.id: d for d in show.departments},
            "outlet": {o.id: o for o in show.outlets},
            "clearance": {c.id: c for c in show.clearances},
            "route": {r.id: r for r in show.routes},
            "source": {s.id: s for s in show.sources},
            "surface": {s.id: s for s in show.surfaces},
            "pool": {p.id: p for p in show.pools},
            "look": {k.id: k for k in show.looks},
            "item": {i.id: i for i in show.items},
            "cue": {c.id: c for c in show.all_cues()},
        }

    def missing(self, path: str, what: str, names: Iterable[str]) -> Iterator[Finding]:
        known = self.ids[what]
        for name in names:
            if name not in known:
                have = ", ".join(list(known)[:6]) or "none"
                more = ", …" if len(known) > 6 else ""
                yield path, f"no {what} '{name}' in this show; it has {have}{more}"


def _reports(show: Show) -> Iterator[Finding]:
    """Where a desk answers over a connection, there is that connection."""
    for i, department in enumerate(show.departments):
        for j, report in enumerate(department.reports):
            if not isinstance(report, TcpReports):
                continue
            known = [o.id for o in show.outlets if isinstance(o, OscTcpOutlet)]
            if report.outlet not in known:
                have = ", ".join(known) or "none"
                yield (
                    f"departments[{i}].reports[{j}].outlet",
                    f"no OSC output over TCP '{report.outlet}' in this show; it has {have}",
                )


def _cue_lights(show: Show, known: _Known) -> Iterator[Finding]:
    for i, department in enumerate(show.departments):
        for state in type(department.cue_light).model_fields:
            messages = getattr(department.cue_light, state)
            yield from _carried(known, f"departments[{i}].cue_light.{state}", messages)


def _twice(path: str, parts: Iterable[Any]) -> Iterator[Finding]:
    first: dict[str, int] = {}
    for i, part in enumerate(parts):
        if part.id in first:
            yield f"{path}[{i}].id", f"'{part.id}' is used already by {path}[{first[part.id]}]; give another"
        first.setdefault(part.id, i)


def _items(show: Show, known: _Known) -> Iterator[Finding]:
    ids: dict[str, str] = {}
    numbers: dict[tuple[str, Any], str] = {}
    if all(item.out for item in show.items):
        yield "items", "every item is cut, so there is nothing to play; put one back in"
    for i, item in enumerate(show.items):
        if item.instead_of is not None:
            yield from known.missing(f"items[{i}].instead_of", "item", [item.instead_of])
        if isinstance(item, WalkOn) and item.route is not None:
            yield from known.missing(f"items[{i}].route", "route", [item.route])
        has_tempo, words = isinstance(item, Song) and bool(item.tempo), _words_of(item)
        if isinstance(item, Song):
            yield from _twice(f"items[{i}].lyrics", item.lyrics)
            for j, line in enumerate(item.lyrics):
                if line.bar is not None and not has_tempo:
                    sentence = f"'{line.text}' is at bar {line.bar}, and {item.name} has no tempo, so no bars"
                    yield f"items[{i}].lyrics[{j}].bar", f"{sentence}; give it seconds, or no place"
        for j, cue in enumerate(item.cues):
            path = f"items[{i}].cues[{j}]"
            if cue.id in ids:
                yield f"{path}.id", f"'{cue.id}' is used already by {ids[cue.id]}; give another"
            ids.setdefault(cue.id, path)
            key = (cue.department, cue.number)
            if key in numbers:
                department = known.ids["department"].get(cue.department)
                name = department.name if department else cue.department
                yield (
                    f"{path}.number",
                    f"{name} {cue.number} is used already by {numbers[key]}; give a free number",
                )
            numbers.setdefault(key, f"“{cue.label}” in {item.name}" if cue.label else path)
            yield from _cue(known, path, cue, has_tempo)
            if isinstance(cue.anchor, WordAnchor):
                yield from _word(f"{path}.anchor", cue, cue.anchor, item, words)


def _word(path: str, cue: Cue, anchor: WordAnchor, item: Item, words: dict[str, int]) -> Iterator[Finding]:
    has = words.get(anchor.line)
    if has is None:
        yield (
            f"{path}.line",
            f"'{cue.label}' hangs on a word of line '{anchor.line}', which is not among the lyrics of "
            f"{item.name}; hang it on another word, or give it a bar or a time",
        )
    elif anchor.word > has:
        sentence = f"'{cue.label}' hangs on word {anchor.word} of line '{anchor.line}', which has {has}"
        yield f"{path}.word", f"{sentence}; give a word from 1 to {has}"


def _cue(known: _Known, path: str, cue: Cue, has_tempo: bool) -> Iterator[Finding]:
    yield from known.missing(f"{path}.department", "department", [cue.department])
    yield from known.missing(f"{path}.needs", "clearance", cue.needs)
    if cue.look is not None:
        yield from known.missing(f"{path}.look.look", "look", [cue.look.look])
        yield from override_errors(f"{path}.look", cue.look, known.ids["look"], known.missing)
    if isinstance(cue.anchor, AfterAnchor):
        yield from known.missing(f"{path}.anchor.cue", "cue", [cue.anchor.cue])
    if cue.anchor.at == "bar" and not has_tempo:
        yield f"{path}.anchor", "this item has no tempo, so no bars; anchor the cue by seconds or by eye"
    if cue.fires == "by itself":
        if cue.anchor.at in BY_EAR_OR_EYE:
            how = "by eye" if cue.anchor.at == "visual" else "on a word"
            yield f"{path}.fires", f"a cue taken {how} cannot be automatic; set fires to 'called'"
        if cue.hazard is not None:
            yield f"{path}.fires", "a hazardous cue is never automatic; set fires to 'called'"
    yield from _carried(known, f"{path}.messages", cue.messages)


def _carried(known: _Known, path: str, messages: Sequence[Message]) -> Iterator[Finding]:
    """Each message has an outlet that can carry it."""
    for k, message in enumerate(messages):
        at = f"{path}[{k}].outlet"
        yield from known.missing(at, "outlet", [message.outlet])
        outlet = known.ids["outlet"].get(message.outlet)
        if outlet is not None and isinstance(outlet, MidiOutlet) == isinstance(message, OscMessage):
            yield (
                at,
                f"'{outlet.id}' is {outlet.kind}, which cannot carry {message.kind}; name another outlet",
            )
