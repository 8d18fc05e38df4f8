"""Two machines on one show: what the one that follows is told. Pure."""

from collections.abc import Mapping
from typing import Any

from showcaller.calling.wording import plural

GOOD_NS = 20_000_000
"""Countdowns on two machines that agree within this are read as one."""


def machine_banner(joined: Mapping[str, Any] | None, error_ns: int | None) -> str:
    """What stands over the box of a machine that follows; empty on the one that the show is on."""
    if joined is None:
        return ""
    parts = [f"on {joined['name']}"]
    if joined.get("can_take_over"):
        parts.append("outputs held here")
    if joined["behind"]:
        parts.append(f"{plural(int(joined['behind']), 'entry', 'entries')} behind")
    if error_ns is None:
        parts.append("countdowns not in step yet")
    elif error_ns > GOOD_NS:
        parts.append(f"countdowns may be {error_ns / 1e6:.0f} ms out: call by ear")
    return ", ".join(parts)


def silent_words(joined: Mapping[str, Any] | None, key: str) -> tuple[str, str] | None:
    """Heading and words while the machine that the show is on is not heard; None while it is."""
    if joined is None or joined["live"]:
        return None
    if joined["out"]:
        return "not let in any more", f"{joined['name']} has withdrawn this desk: ask there for a code"
    if joined.get("can_take_over"):
        return f"{joined['name']} is silent", f"ask on headset first · {key} {key} takes the show over here"
    return f"{joined['name']} is silent", "call by voice; this desk keeps trying"
