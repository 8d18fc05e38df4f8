"""What the desk says of its crew pages. Pure."""

import time
from typing import Any

from showcaller.calling.wording import plural
from showcaller.values import Struct


class CrewRow(Struct, frozen=True):
    """A line of the list: a link, or somebody who came in by one. ``link`` or ``session`` is what is
    withdrawn with it."""

    words: str
    state: str
    tone: str
    link: str = ""
    session: str = ""


def crew_rows(status: dict[str, Any]) -> tuple[CrewRow, ...]:
    """Every link with those who came in by it."""
    rows: list[CrewRow] = []
    known = {link["id"] for link in status.get("links", [])}
    for link in status.get("links", []):
        until = time.strftime("%H:%M", time.localtime(link["until_s"]))
        rows.append(
            CrewRow(f"Link: {link['name'] or 'any position'}", f"until {until}", "quiet", link=link["id"])
        )
        rows += [_person(one) for one in status.get("in", []) if one["link"] == link["id"]]
    rows += [_person(one) for one in status.get("in", []) if one["link"] not in known]
    return tuple(rows)


def _person(one: dict[str, Any]) -> CrewRow:
    words = " · ".join(filter(None, (one["position"] or "choosing a position", one["name"])))
    state = "connected" if one["pages"] else "not connected"
    return CrewRow(f"    {words}", state, "text" if one["pages"] else "caution", session=one["session"])


def crew_sum(status: dict[str, Any]) -> str:
    """``3 connected, 1 not``."""
    people = status.get("in", [])
    there = sum(1 for one in people if one["pages"])
    if not people:
        return "Nobody is in yet"
    away = len(people) - there
    return f"{plural(there, 'person')} connected" + (f", {away} not" if away else "")


def in_fours(text: str, sign: str = ":") -> str:
    """A long fingerprint in groups that can be compared by eye, two lines of four groups."""
    parts = text.split(sign)
    groups = [" ".join(parts[n : n + 4]) for n in range(0, len(parts), 4)]
    half = (len(groups) + 1) // 2
    return "   ".join(groups[:half]) + "\n" + "   ".join(groups[half:])
