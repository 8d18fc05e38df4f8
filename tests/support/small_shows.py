"""Small shows for tests, made by hand."""

import json
from typing import Any

from showcaller.model import Show, parse_show

DEPARTMENTS = [
    {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"},
    {"id": "video", "name": "Video", "letters": "VID", "shape": "square", "hue": "sky"},
    {"id": "moves", "name": "Moves", "letters": "MV", "shape": "bar", "hue": "pink"},
]


def cue(ident: str, number: str, at: Any, department: str = "lights", **more: Any) -> dict[str, Any]:
    """A cue; ``at`` is seconds into the item, or an anchor."""
    anchor = at if isinstance(at, dict) else {"at": "time", "seconds": at}
    fields = {
        "id": ident,
        "department": department,
        "number": number,
        "label": f"cue {ident}",
        "anchor": anchor,
    }
    return {**fields, **more}


def follow(ident: str, number: str, after: str, delay_s: float, **more: Any) -> dict[str, Any]:
    """A cue that fires by itself after another."""
    anchor = {"at": "after", "cue": after, "delay_s": delay_s}
    return cue(ident, number, anchor, fires="by itself", **more)


def item(ident: str, length_s: float, cues: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """A song free of tempo unless ``tempo`` is given."""
    name = ident.replace("-", " ").title()
    return {"kind": "song", "id": ident, "name": name, "length_s": length_s, "cues": cues, **more}


UNGUARDED = {"ask_again_s": 20, "ask_unsaid": False}
"""How a caller speaks who does not key standbys: most tests are about something else than being asked
again."""


def document(items: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """A show document as plain data."""
    more = {"speaking": UNGUARDED, **more}
    return {
        "format": "showcaller/show", "version": 1, "id": "small", "name": "Small", "act": "Nobody",
        "venue": "Nowhere Hall", "starts_at": "20:00", "curfew": "23:00", "departments": DEPARTMENTS,
        "items": items, **more,
    }  # fmt: skip


def show(items: list[dict[str, Any]], **more: Any) -> Show:
    """A show."""
    return parse_show(json.dumps(document(items, **more)))


def two_songs(**more: Any) -> Show:
    """Two songs: called cues, automatic ones, follow-ons, a visual, a hazard with its clearance."""
    hazard = {"kind": "moving scenery", "caution": "Keep clear of the gantry.", "responsible": "I. Marr"}
    first = item(
        "first",
        60,
        [
            cue("a", "1", 0),
            cue("b", "2", 10),
            cue("v1", "1", 10, "video"),
            follow("c", "3", "b", 2),
            follow("d", "4", "c", 1.5),
            cue("e", "5", 15, fires="by itself"),
            cue("look", "6", {"at": "visual", "sees": "she turns", "expect_s": 20}),
            cue("m1", "1", 30, "moves", hazard=hazard, needs=["path"]),
            cue("f", "7", 40),
        ],
    )
    second = item("second", 50, [cue("g", "8", 0), cue("h", "9", 12), follow("i", "10", "h", 1)])
    clearances = [{"kind": "yes", "id": "path", "name": "Path clear", "position": "Moves"}]
    return show([first, second], clearances=clearances, **more)


def tight_show() -> Show:
    """A song in which called cues follow Video 1 too soon for their goes to be said in time."""
    soon, later = ({"at": "after", "cue": "v", "delay_s": s} for s in (0.5, 2))
    return show(
        [
            item(
                "song",
                60,
                [
                    cue("v", "1", 20, "video"),
                    cue("l", "1.5", soon, label="Lamps up"),
                    cue("m", "2", later, label="Lamps out"),
                ],
            )
        ]
    )


def desk_show(port: int) -> Show:
    """Two items: called cues, one that follows, one hazardous that needs a clearance."""

    def osc(address: str) -> list[dict[str, object]]:
        return [{"kind": "osc", "outlet": "u", "address": address}]

    hazard = {"kind": "moving scenery", "caution": "Keep clear of the gantry.", "responsible": "I. Marr"}
    cues = [
        cue("a", "1", 0, messages=osc("/a")),
        cue("b", "2", 10, messages=osc("/b")),
        follow("c", "3", "b", 0.2, messages=osc("/c")),
        cue("m", "1", 14, "moves", hazard=hazard, needs=["path"], messages=osc("/m")),
        cue("z", "4", 40, messages=osc("/z")),
    ]
    outlets = [{"kind": "osc_udp", "id": "u", "name": "Lighting desk", "port": port}]
    clearances = [{"kind": "yes", "id": "path", "name": "Path clear", "position": "Moves"}]
    items = [item("first", 60, cues), item("second", 30, [cue("y", "5", 0, messages=osc("/y"))])]
    return parse_show(json.dumps(document(items, outlets=outlets, clearances=clearances)))
