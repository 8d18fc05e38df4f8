"""People as lines of text: who, what they do, when they are called, how they are reached, who stands in."""

import re
from typing import Any

from showcaller.editing.changes import ChangeError
from showcaller.editing.naming import free_id
from showcaller.model import BreakRule, CrewMember, Show

HINT = "Ada Lind: Deck chief; called 14:00; 0170 555 0101; stand-in Bo Marr"
BREAKS_HINT = "30 min after 5 h; empty: no rule"

_CALLED = re.compile(r"^called\s+([01]?\d|2[0-3]):([0-5]\d)$", re.IGNORECASE)
_STAND_IN = re.compile(r"^stand-?in\s+(.+)$", re.IGNORECASE)
_BREAKS = re.compile(r"^(\d+)\s*min(?:utes)?\s+after\s+(\d+(?:[.,]\d+)?)\s*h(?:ours)?$", re.IGNORECASE)


def person_text(member: CrewMember) -> str:
    """``Ada Lind: Deck chief; called 14:00; 0170 555 0101; stand-in Bo Marr``."""
    parts = [
        f"{member.name}: {member.position}",
        f"called {member.called_at[:5]}" if member.called_at else "",
        member.reached or "",
        f"stand-in {member.stand_in}" if member.stand_in else "",
    ]
    return "; ".join(part for part in parts if part)


def parse_person(show: Show, text: str, was: CrewMember | None = None) -> dict[str, Any]:
    """A person in the document's form; one that is there keeps the id.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    head, *rest = [word.strip() for word in text.split(";")]
    name, colon, position = head.partition(":")
    if not colon or not name.strip() or not position.strip():
        raise ChangeError(f"'{head}' needs a name, a colon and what they do; give {HINT}")
    part: dict[str, Any] = {"name": name.strip(), "position": position.strip()}
    for word in filter(None, rest):
        if called := _CALLED.match(word):
            part["called_at"] = f"{int(called[1]):02}:{called[2]}"
        elif word.lower().startswith("called"):
            raise ChangeError(f"'{word}' is no time to be called at; give called 14:00")
        elif found := _STAND_IN.match(word):
            part["stand_in"] = found[1].strip()
        elif "reached" in part:
            raise ChangeError(f"'{word}' is one thing too many; give {HINT}")
        else:
            part["reached"] = word
    if was is not None and was.instead:
        if part.get("stand_in") != was.stand_in or part["name"] != was.name:
            raise ChangeError(f"{was.stand_in} stands in for {was.name} tonight: switch that back first")
        part["instead"] = True
    part["id"] = was.id if was is not None else free_id(part["name"], {p.id for p in show.people})
    return part


def breaks_text(rule: BreakRule | None) -> str:
    """``30 min after 5 h``; empty without a rule."""
    return "" if rule is None else f"{rule.for_min} min after {rule.after_h:g} h"


def parse_breaks(text: str) -> dict[str, Any] | None:
    """The local rule on breaks, as somebody has typed it.

    Raises:
        ChangeError: it cannot be read.
    """
    if not text.strip():
        return None
    match = _BREAKS.match(text.strip())
    if match is None:
        raise ChangeError(f"'{text.strip()}' is no rule on breaks; give {BREAKS_HINT}")
    return {"for_min": int(match[1]), "after_h": float(match[2].replace(",", "."))}
