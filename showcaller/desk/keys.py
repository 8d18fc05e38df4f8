"""The keys in use: the usual ones with the user's changes, and how a text names each. Pure but for the file.

``keys.json`` in the user's settings folder changes keys, in all profiles or in one::

    {"go": "F9", "profile": "pedal", "profiles": {"pedal": {"standby": "F8", "note": "N"}}}
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from showcaller.desk.action import Action
from showcaller.desk.actions import ACTIONS, BUTTONS, acts_in, area_of
from showcaller.desk.seats import SEATS, is_typed

KEYS_FILE = "keys.json"
USUAL = "keyboard"
PROFILES: Mapping[str, Mapping[str, str]] = {
    USUAL: {},
    "big-key pad": {"go": "F9", "standby": "F5", "answer": "F3", "back": "F2", "hold": "F12", "note": "N"},
    "pedal": {"go": "PgDown", "standby": "PgUp"},
}
"""Profiles of every desk. A pedal usually sends the keys that turn a page (common practice, no source)."""

_AREAS = ("Book", "Wall", "Grid", "Call", "Drift")
_GRID_ROWS = {"tile.put_1": "its letter", "tile.next_1": "Shift and its letter", "tile.how_1": "1 to 6"}
"""One line for all of a sort on the page of keys."""
_SHOWN = {"Return": "Enter", "PgDown": "Page Down", "PgUp": "Page Up"}


class KeysError(ValueError):
    """A keys file that cannot be used; one sentence."""


class Sitting:
    """The seat at which keys are read; the window changes it when another seat is taken."""

    def __init__(self) -> None:
        self.seat = SEATS["caller"]


@dataclass(frozen=True)
class Keys:
    """``keys["go"]`` is the key of an action as a text says it, at the seat that is taken: where letters
    never act on the show, its other key, or the menu that has it. Empty if it has none."""

    changed: Mapping[str, str] = field(default_factory=dict)
    profile: str = USUAL
    profiles: tuple[str, ...] = tuple(PROFILES)
    sitting: Sitting = field(default_factory=Sitting, compare=False)

    @property
    def letters(self) -> bool:
        """Whether letters act on the show at this seat: the caller's."""
        return bool(self.sitting.seat.letters)

    def chords(self, action_id: str) -> tuple[str, ...]:
        """Every chord of an action. A changed key takes the place of all of them."""
        changed = self.changed.get(action_id)
        return ACTIONS[action_id].keys if changed is None else (changed,)

    def chords_here(self, action_id: str) -> tuple[str, ...]:
        """Those of its chords that act at the seat that is taken."""
        chords = self.chords(action_id)
        if self.letters or not ACTIONS[action_id].of_run:
            return chords
        return tuple(c for c in chords if not is_typed(c))

    def __getitem__(self, action_id: str) -> str:
        chords = self.chords_here(action_id)
        if not chords and self.chords(action_id):
            return f"menu {ACTIONS[action_id].menu}"
        return shown(chords[0]) if chords else ""


def shown(chord: str) -> str:
    """A chord as a person reads it on the keys: ``Ctrl+Enter``."""
    held, plus, last = chord.rpartition("+")
    return f"{held}{plus}{_SHOWN.get(last, last)}" if last else chord


def load_keys(path: Path, profile: str | None = None) -> Keys:
    """The keys in use, from the user's file if there is one; ``profile`` instead of the one named there.

    Raises:
        KeysError: unreadable, an unknown action or profile, or two actions on one key.
    """
    changes = _read(path)
    own = changes.pop("profiles", {})
    named = profile or changes.pop("profile", USUAL)
    changes.pop("profile", None)
    if not isinstance(own, dict) or not all(isinstance(p, dict) for p in own.values()):
        raise KeysError(f'{path}: "profiles" must hold {{"name": {{"action": "key"}}}}')
    if named not in PROFILES and named not in own:
        raise KeysError(f"{path}: '{named}' is not a profile; there are {', '.join([*PROFILES, *own])}")
    for part in (*own.values(), changes):
        for name, key in part.items():
            _check(path, name, key)
    merged = {**PROFILES.get(named, {}), **changes, **own.get(named, {})}
    keys = Keys({n: k.strip() for n, k in merged.items()}, named, tuple(dict.fromkeys([*PROFILES, *own])))
    twice = clash(keys)
    if twice is not None:
        raise KeysError(f"{path}: {twice[0]} is given to both '{twice[1]}' and '{twice[2]}'")
    return keys


def _read(path: Path) -> dict[str, Any]:
    if not path.exists():
        return {}
    try:
        changes = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise KeysError(f"{path} cannot be read ({error}); the usual keys are in use") from None
    if not isinstance(changes, dict):
        raise KeysError(f'{path} must hold {{"action": "key"}}; the usual keys are in use')
    return changes


def _check(path: Path, name: str, key: object) -> None:
    if name not in ACTIONS:
        raise KeysError(f"{path}: '{name}' is not an action; there are {', '.join(ACTIONS)}")
    if not isinstance(key, str) or not key.strip():
        raise KeysError(f"{path}: the key of '{name}' must be a text such as \"F9\", not {key!r}")


def heard_in(keys: Keys, area: str) -> list[tuple[str, Action]]:
    """(chord, action) of every key heard with an area in front; a run's keys that type count in Call only."""
    found = []
    of_run = {chord.lower() for a in ACTIONS.values() if a.of_run for chord in keys.chords(a.id)}
    for action in ACTIONS.values():
        for chord in keys.chords(action.id) if acts_in(action, area) else ():
            if action.id.startswith("call.page_") and chord.lower() in of_run:
                continue  # whoever has the go on Space keeps it there
            if not action.of_run or area == "Call" or not is_typed(chord):
                found.append((chord, action))
    return found


def clash(keys: Keys) -> tuple[str, str, str] | None:
    """(key, action, action) of the first key that would mean two things in one area."""
    for area in _AREAS:
        used: dict[str, str] = {}
        for chord, action in heard_in(keys, area):
            if used.setdefault(chord.lower(), action.id) != action.id:
                return chord, used[chord.lower()], action.id
    return None


def choose_profile(path: Path, profile: str) -> None:
    """Name the profile in use in the user's file; the rest of it stays.

    Raises:
        KeysError: the file cannot be read or written.
    """
    changes = _read(path) | {"profile": profile}
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(changes, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    except OSError as error:
        raise KeysError(
            f"{path} cannot be written ({error}); the profile counts until the desk is closed"
        ) from None


FOOT = ("go", "standby", "answer", "hold", "note", "back", "skip", "jump")
OTHERS_FOOT = ("note", "incident", "fault", "walk", "pages", "delay", "last_note")
"""Those named at the foot of Call, at the caller's seat and at the others."""


def foot_keys(keys: Keys) -> tuple[tuple[str, str], ...]:
    """(key, word) of the run's actions that stand at the foot of Call: those that act at the seat taken."""
    names = FOOT if keys.letters else [n for n in OTHERS_FOOT if n in keys.sitting.seat.acts]
    return tuple((keys[name], ACTIONS[name].word) for name in names)


def buttons_of(area: str) -> tuple[str, ...]:
    """Ids of the actions that stand as words in an area; ``Wall live``: in that area while a show is on,
    ``Drift tape``: where the tape stands."""
    return tuple(f"{area.split(maxsplit=1)[0].lower()}.{name}" for name in BUTTONS[area])


def key_lines(keys: Keys, area: str) -> list[tuple[str, list[tuple[str, str]]]]:
    """The page of keys for an area: (menu, [(keys, what they do)]), from the table."""
    found: dict[str, list[tuple[str, str]]] = {}
    for action in ACTIONS.values():
        own = area in (*action.where, area_of(action)) or (
            action.where == ("desk",) and action.menu != "Seat"
        )
        chords = keys.chords_here(action.id)
        if not chords or not (own or (area == "Call" and action.of_run)):
            continue
        if action.id.startswith("clear"):
            if action.id == "clear1":
                last = keys.chords_here("clear9")
                row = (f"{shown(chords[0])} to {shown(last[0]) if last else '9'}", action.does)
                found.setdefault(action.menu, []).append(row)
            continue
        if action.where == ("Grid",):
            if action.id in _GRID_ROWS:
                found.setdefault("Grid", []).append((_GRID_ROWS[action.id], action.does))
            continue
        words = " or ".join(shown(c) for c in chords)
        twice = f"{words} {words}" if action.twice else words
        found.setdefault(action.menu or "Moving about", []).append((twice, action.does))
    return list(found.items())


README_ROWS = (
    ("go", "hold"), ("standby", "why"), ("answer", "note"), ("answers", "jump"), ("back", "skip"),
    ("clear1", "confirm"), ("wrong", "take"), ("insert", "walk"), ("resend", "override"), ("tap", "bar"),
    ("follow", "hand"), ("handover", "clock"), ("mute", "end"), ("incident", "fault"),
    ("incident_form", "drift.note"), ("help", "palette"),
    ("doubts", "lock"), ("calls", "loop"), ("ahead", "top"), ("unheld", "night"), ("again", "vamp"),
    ("cut", "pages"), ("last_note", "house_lights"), ("crew", "drift.count"), ("undo", "redo"),
    ("delay", "book.day"), ("machines", "take_here"),
)  # fmt: skip
"""Which actions the README's table shows, two a row."""


def readme_table() -> str:
    """The README's table of keys, as Markdown; a test holds the README to it."""
    keys = Keys()

    def cell(name: str) -> str:
        action, shown_keys = ACTIONS[name], [f"`{shown(c)}`" for c in keys.chords(name)]
        if name == "clear1":
            return f"`1`–`9` | {action.does}"
        times = " ".join([shown_keys[0]] * 2) if action.twice else " or ".join(shown_keys)
        area = f"in {action.where[0]}: " if action.where[0] in _AREAS and len(action.where) == 1 else ""
        return f"{times} | {area}{action.does}"

    rows = [f"| {cell(left)} | {cell(right)} |" for left, right in README_ROWS]
    return "\n".join(["| key | does | key | does |", "|---|---|---|---|", *rows])
