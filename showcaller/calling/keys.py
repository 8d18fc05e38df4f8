"""Keys of the desk: one table, changeable, and the guard that keeps one press one go. No Qt.

``keys.json`` in the user's settings folder may name other keys: ``{"go": "Space"}``.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

ACTIONS: Mapping[str, tuple[str, str, str]] = {
    "go": ("G", "go", "fire the next go"),
    "standby": ("S", "standby", "the standby or warning at the top has been said"),
    "answer": ("A", "answer", "everybody asked has answered"),
    "answers": ("Shift+A", "who answered", "say which departments have answered"),
    "hold": ("H", "hold", "stop the clock; again to go on"),
    "why": ("Shift+H", "why held", "say in words why the show is held"),
    "note": ("N", "note", "write a note at this moment"),
    "incident": ("Shift+N", "incident", "somebody hurt, nearly hurt, or something damaged: put it down"),
    "fault": ("K", "wall fault", "mark a panel of the wall: the one under the mouse, or by name"),
    "back": ("B", "back", "take back the last go (twice)"),
    "skip": ("X", "skip", "leave out the next go (twice)"),
    "jump": ("J", "jump", "put the place at an item or cue"),
    "confirm": ("F", "fire", "the second key of a hazardous go"),
    "tap": ("T", "downbeat", "tap on the downbeat: the song's clock goes to the nearest one"),
    "bar": ("=", "this is bar", "say which bar this is: the song's clock goes there"),
    "follow": ("L", "follow", "let timecode lead; when it has jumped far, go there (twice)"),
    "hand": ("U", "by hand", "take the clock over from timecode; or leave its jump (twice)"),
    "wrong": ("W", "wrong", "the last go was a wrong one: mark it"),
    "take": ("D", "by hand now", "fire by hand what would fire by itself (twice)"),
    "walk": ("P", "walk step", "the next step of the walk-on has happened"),
    "insert": ("I", "slip in", "an item that is not in the plan begins"),
    "resend": ("E", "send again", "send where every device should stand here"),
    "doubts": ("Z", "in doubt", "what was fired and may not have left: send it now, or leave it"),
    "override": ("V", "override", "let a go pass without a clearance, with a name and a reason"),
    "handover": ("O", "hand over", "what the next caller must know; take their name"),
    "loop": ("Y", "loop", "in a rehearsal: play a section again and again; again stops it"),
    "lock": ("Ctrl+L", "lock", "lock the keys until the caller's name is typed"),
    "mute": ("M", "mute", "mute or unmute all outlets (twice)"),
    "open": ("R", "open run", "open a run"),
    "end": ("Ctrl+E", "end run", "end the run"),
    "book": ("Ctrl+1", "Book", "Book: the plan"),
    "wall": ("Ctrl+2", "Wall", "Wall: what the screen shows"),
    "call": ("Ctrl+3", "Call", "Call: live"),
    "drift": ("Ctrl+4", "Drift", "Drift: what happened"),
    "clock": ("Ctrl+K", "clocks", "clocks for a second screen"),
    "help": ("?", "keys", "show all keys"),
}
"""Action → default key, its short word on the desk, what it does."""

PRESS_GAP_S = 0.4
"""Two presses of go nearer than this are one (common practice, no source)."""

TWICE_WITHIN_S = 3.0
"""A key that must be pressed twice forgets the first press after this long."""


class KeysError(ValueError):
    """A keys file that cannot be used; one sentence."""


def load_keys(path: Path) -> dict[str, str]:
    """Action → key, the defaults with the user's changes.

    Raises:
        KeysError: unreadable, an unknown action, or two actions on one key.
    """
    keys = {name: default for name, (default, _, _) in ACTIONS.items()}
    if not path.exists():
        return keys
    try:
        changes = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise KeysError(f"{path} cannot be read ({error}); the usual keys are in use") from None
    if not isinstance(changes, dict):
        raise KeysError(f'{path} must hold {{"action": "key"}}; the usual keys are in use')
    for name, key in changes.items():
        if name not in keys:
            raise KeysError(f"{path}: '{name}' is not an action; there are {', '.join(ACTIONS)}")
        if not isinstance(key, str) or not key.strip():
            raise KeysError(f"{path}: the key of '{name}' must be a text such as \"G\", not {key!r}")
        if key.strip() in "123456789":
            raise KeysError(f"{path}: {key} gives a clearance, so '{name}' needs another key")
        keys[name] = key.strip()
    used: dict[str, str] = {}
    for name, key in keys.items():
        if key.lower() in used:
            raise KeysError(f"{path}: {key} is given to both '{used[key.lower()]}' and '{name}'")
        used[key.lower()] = name
    return keys


@dataclass
class Guard:
    """Lets one press be one go, and asks for some keys twice."""

    last_go_s: float = -1e9
    last_say_s: float = -1e9
    armed: tuple[str, str] | None = None
    armed_s: float = -1e9

    def go(self, repeated: bool, now_s: float) -> bool:
        """Whether a press of go at ``now_s`` counts; a key held down never does."""
        if repeated:
            return False
        # A press during the gap opens it anew, so that a trembling hand cannot wait it out.
        counts = now_s - self.last_go_s >= PRESS_GAP_S
        self.last_go_s = now_s
        return counts

    def say(self, repeated: bool, now_s: float) -> bool:
        """Whether a press of standby at ``now_s`` counts; two presses near each other are one line said."""
        if repeated:
            return False
        counts = now_s - self.last_say_s >= PRESS_GAP_S
        self.last_say_s = now_s
        return counts

    def twice(self, action: str, about: str, repeated: bool, now_s: float) -> bool:
        """Whether this is the second deliberate press of ``action`` for the same thing."""
        if repeated:
            return False
        second = self.armed == (action, about) and PRESS_GAP_S / 2 <= now_s - self.armed_s <= TWICE_WITHIN_S
        self.armed, self.armed_s = (None, -1e9) if second else ((action, about), now_s)
        return second

    def forget(self) -> None:
        """Drop a first press that waits for its second."""
        self.armed = None
