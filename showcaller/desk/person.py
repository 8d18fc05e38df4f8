"""Who is at this desk: the name that stands beside marks, notes and verdicts. One for the whole window."""

import getpass
from collections.abc import Callable
from pathlib import Path

from showcaller.desk.ask import Ask

NAME_FILE = "name"
_known: dict[str, str] = {}


def person_here() -> str:
    """The name that was typed at this desk; else the account that is logged in on the machine."""
    if _known.get("name"):
        return _known["name"]
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return ""


def remembered(settings: Path | None) -> None:
    """The name that was typed the last time, if any."""
    _known.clear()
    try:
        if settings is not None:
            _known["name"] = (settings / NAME_FILE).read_text(encoding="utf-8").strip()[:80]
    except (OSError, UnicodeDecodeError):
        return  # nobody has typed one


def call_me(name: str, settings: Path | None) -> None:
    """From now on, and when the desk is opened again."""
    _known["name"] = name
    try:
        if settings is not None:
            settings.mkdir(parents=True, exist_ok=True)
            (settings / NAME_FILE).write_text(f"{name}\n", encoding="utf-8")
    except OSError:
        return  # a read-only settings folder only means that it is asked for again


def ask_name(ask: Ask, say: Callable[[str, str], None], settings: Path | None) -> None:
    """Ask who is at this desk."""

    def done(text: str) -> str | None:
        if not text.strip():
            return "type your name, or press Escape"
        call_me(text.strip()[:80], settings)
        say("name", f"{person_here()} is at this desk: that name stands beside marks, notes and verdicts")
        return None

    hint = "your name: it stands beside marks, notes and verdicts"
    ask("Who is at this desk?", done, hint, typed=person_here())
