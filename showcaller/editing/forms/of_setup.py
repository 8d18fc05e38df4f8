"""Departments, outlets and clearances as lines of text: who there is, where messages go, who says yes."""

import re
from collections.abc import Sequence
from typing import Any, get_args

from showcaller.editing.changes import ChangeError
from showcaller.editing.forms.field import one_of, seconds_of
from showcaller.editing.naming import free_id
from showcaller.model import (
    Clearance,
    Department,
    MidiOutlet,
    OscTcpOutlet,
    Outlet,
    Show,
    YesClearance,
)
from showcaller.model.people import SEEN_WITHIN_S, Hue, Shape
from showcaller.model.quantities import to_json
from showcaller.values import Struct

HINTS = {
    "departments": "Lights LX circle yellow; reacts 0.2; seen within 2",
    "outlets": "Wall: osc udp 10.0.0.5:9000 · Sound: osc tcp 10.0.0.6:9001 · Synth: midi words of its port",
    "clearances": "Path clear: Deck chief · Wind: Rigger, m/s at most 12, older than 60 s is stale, from M1 "
    "· Lightning: Watch, km at least 16, older than 300 s is stale, from the plan",
}
"""What may be typed for each list."""

_ADDRESS = re.compile(r"^osc\s+(udp|tcp)\s+(?:(.+):)?(\d+)(\s+length)?(\s+term)?(\s+muted)?$", re.IGNORECASE)
_READING = re.compile(
    r"^(.+?),\s*(\S+)\s+(at most|at least)\s+([\d.]+),"
    r"\s*older than\s+([\d.:]+)\s*s? is stale,\s*from\s+(.+)$",
    re.IGNORECASE,
)
_MEANT = re.compile(r"\bat\s*(most|least)\b|\bstale\b|\bolder than\b|[<>≤≥]", re.IGNORECASE)


class SetUpLine(Struct, frozen=True):
    """One part of a list, as a line."""

    list: str
    id: str
    text: str


def setup_lines(show: Show) -> tuple[SetUpLine, ...]:
    """All departments, outlets and clearances."""
    return (
        *(SetUpLine("departments", d.id, _department(d)) for d in show.departments),
        *(SetUpLine("outlets", o.id, _outlet(o)) for o in show.outlets),
        *(SetUpLine("clearances", c.id, _clearance(c)) for c in show.clearances),
    )


def parse_setup(show: Show, name: str, text: str, ident: str | None = None) -> dict[str, Any]:
    """A part of the list ``name`` in the document's form; it keeps the id ``ident``.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    if not text.strip():
        raise ChangeError(f"nothing is typed; give {HINTS[name]}")
    part = {"departments": _read_department, "outlets": _read_outlet, "clearances": _read_clearance}[name](
        text
    )
    taken = {p.id for p in getattr(show, name)}
    was = next((d for d in show.departments if d.id == ident), None) if name == "departments" else None
    if was is not None:  # these have lines of their own
        kept = was.model_dump(mode="json", exclude_defaults=True, include={"reports", "cue_light"})
        part |= kept
    part["id"] = ident or free_id(str(part["name"]), taken)
    return part


def _department(d: Department) -> str:
    says = f"; says {d.says}" if d.says else ""
    reacts = f"; reacts {to_json(d.reaction_s)}" if d.reaction_s else ""
    within = f"; seen within {to_json(d.seen_within_s)}" if d.seen_within_s != SEEN_WITHIN_S else ""
    return f"{d.name} {d.letters} {d.shape} {d.hue}{says}{reacts}{within}"


def _read_department(text: str) -> dict[str, Any]:
    head, *rest = [part.strip() for part in text.split(";")]
    words = head.split()
    if len(words) < 4:
        shapes, hues = ", ".join(get_args(Shape)), ", ".join(get_args(Hue))
        raise ChangeError(f"give a name, letters, a shape ({shapes}) and a colour ({hues})")
    part: dict[str, Any] = {
        "name": " ".join(words[:-3]),
        "letters": words[-3],
        "shape": one_of(words[-2], _plain(get_args(Shape)), "shape"),
        "hue": one_of(words[-1], _plain(get_args(Hue)), "colour"),
    }
    for word in rest:
        if word.lower().startswith("says "):
            part["says"] = word[5:].strip()
        elif word.lower().startswith("reacts "):
            part["reaction_s"] = seconds_of(word[7:], "reacts")
        elif word.lower().startswith("seen within "):
            part["seen_within_s"] = seconds_of(word[12:], "seen within")
        elif word:
            choices = "'says Follow spots', 'reacts 0.2' or 'seen within 2'"
            raise ChangeError(f"'{word}' is not understood; give {choices}")
    return part


def _outlet(o: Outlet) -> str:
    muted = " muted" if o.muted else ""
    if isinstance(o, MidiOutlet):
        extras = [w for w, on in (("virtual", o.virtual), ("timecode", o.timecode)) if on]
        return f"{o.name}: midi {o.port}{''.join(f'; {w}' for w in extras)}{'; muted' if o.muted else ''}"
    muted = f"{' term' if o.term else ''}{muted}"
    if isinstance(o, OscTcpOutlet):
        return f"{o.name}: osc tcp {o.host}:{o.port}{' length' if o.framing == 'length' else ''}{muted}"
    return f"{o.name}: osc udp {o.host}:{o.port}{muted}"


def _read_outlet(text: str) -> dict[str, Any]:
    name, colon, rest = text.partition(":")
    rest = rest.strip()
    if not colon or not name.strip() or not rest:
        raise ChangeError(f"'{text}' needs a name, a colon and where it goes; give {HINTS['outlets']}")
    if rest.lower().startswith("midi "):
        port, *extras = [w.strip() for w in rest[5:].split(";")]
        part: dict[str, Any] = {"kind": "midi", "name": name.strip(), "port": port}
        for word in extras:
            key = one_of(word, _plain(("virtual", "timecode", "muted")), "after the MIDI port")
            part[key] = True
        return part
    match = _ADDRESS.match(rest)
    if not match:
        raise ChangeError(f"'{rest}' is not an address; give {HINTS['outlets']}")
    kind, host, port_number, length, term, muted = match.groups()
    found: dict[str, Any] = {"kind": f"osc_{kind.lower()}", "name": name.strip(), "port": int(port_number)}
    if host:
        found["host"] = host
    if length:
        if kind.lower() != "tcp":
            raise ChangeError("'length' is a way of framing over TCP; UDP needs none")
        found["framing"] = "length"
    if term:
        found["term"] = True
    if muted:
        found["muted"] = True
    return found


def _clearance(c: Clearance) -> str:
    if isinstance(c, YesClearance):
        return f"{c.name}: {c.position}"
    reading = (
        f"{c.unit} {c.side} {c.limit:g}, older than {to_json(c.stale_after_s)} s is stale, from {c.source}"
    )
    return f"{c.name}: {c.position}, {reading}"


def _read_clearance(text: str) -> dict[str, Any]:
    name, colon, rest = text.partition(":")
    rest = rest.strip()
    if not colon or not name.strip() or not rest:
        raise ChangeError(f"'{text}' needs a name, a colon and who gives it; give {HINTS['clearances']}")
    reading = _READING.match(rest)
    if reading is None and _MEANT.search(rest):  # as a yes it would let anything pass
        raise ChangeError(f"'{rest}' is not a whole reading; give {HINTS['clearances'].split(' · ')[1]}")
    if reading is None:
        return {"kind": "yes", "name": name.strip(), "position": rest}
    position, unit, side, limit, stale, source = reading.groups()
    return {
        "kind": "reading", "name": name.strip(), "position": position, "unit": unit, "limit": float(limit),
        "side": side.lower(), "stale_after_s": seconds_of(stale, "stale"), "source": source,
    }  # fmt: skip


def _plain(words: Sequence[str]) -> list[tuple[str, tuple[str, ...]]]:
    return [(word, ()) for word in words]
