"""One switch for who stands in: their name is put wherever the other's stands, and back. Pure."""

import re
from typing import Any

from showcaller.editing.changes import Change, ChangeError, SetFields, Together, stored
from showcaller.model import Show

_LISTS = ("clearances", "routes", "pages", "venues", "incident_readers")
_OF_A_CUE = ("label", "notes", "anchor")


def stand_in(show: Show, ident: str) -> Change:
    """The stand-in does tonight what the person would do, or the person again: in clearances, ways, pages and
    checklists, contacts, and in the words of cues.

    Raises:
        ChangeError: there is no such person, or nobody stands in for them.
    """
    member = next((p for p in show.people if p.id == ident), None)
    if member is None:
        raise ChangeError(f"there is nobody '{ident}' in this show; add a line for them")
    if member.stand_in is None:
        raise ChangeError(
            f"nobody stands in for {member.name}: type '; stand-in Bo Marr' at the end of the line"
        )
    was, now = (member.stand_in, member.name) if member.instead else (member.name, member.stand_in)
    changes: list[Change] = [SetFields(at=("people", ident), fields={"instead": not member.instead})]
    for name in _LISTS:
        before = _plain(getattr(show, name))
        after = _renamed(before, was, now)
        if after != before:
            changes.append(SetFields(at=(), fields={name: after}))
    for item in show.items:
        for cue in item.cues:
            part = stored(cue)
            fields = {key: _renamed(part[key], was, now) for key in _OF_A_CUE if key in part}
            fields = {key: value for key, value in fields.items() if value != part[key]}
            if fields:
                changes.append(SetFields(at=("items", item.id, "cues", cue.id), fields=fields))
    return Together(changes=tuple(changes))


def _plain(parts: tuple[Any, ...]) -> list[Any]:
    return [part if isinstance(part, str) else stored(part) for part in parts]


def _renamed(value: Any, was: str, now: str) -> Any:
    """Every whole name in every text of it; ids and the like are not names."""
    if isinstance(value, str):
        return re.sub(rf"(?<!\w){re.escape(was)}(?!\w)", lambda _: now, value)
    if isinstance(value, list):
        return [_renamed(one, was, now) for one in value]
    if isinstance(value, dict):
        kept = ("id", "kind", "item", "clearance", "clearances")
        return {key: one if key in kept else _renamed(one, was, now) for key, one in value.items()}
    return value
