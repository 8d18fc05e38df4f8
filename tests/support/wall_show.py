"""A small show with a wall, for the desk's tests: two songs, four looks, six sources."""

import json
from typing import Any

from small_shows import cue, document, item

from showcaller.model import Show, parse_show

WALL = {
    "width_m": 40, "height_m": 10, "width_px": 4000, "height_px": 1000, "panel_px": [100, 100], "channels": 6,
    "inputs": [
        {"id": f"in-{name.lower()}", "name": name, "x_px": n * 1000, "y_px": 0, "width_px": 1000,
         "height_px": 1000}
        for n, name in enumerate("ABCD")
    ],
}  # fmt: skip
SOURCES = [
    {"id": "cam-1", "name": "Gate camera", "kind": "camera"},
    {"id": "cam-2", "name": "Roof camera", "kind": "camera"},
    {"id": "cam-3", "name": "Hand camera", "kind": "camera"},
    {"id": "sea", "name": "Sea", "kind": "clip", "width_px": 4000, "height_px": 1000},
    {"id": "words", "name": "Words", "kind": "live"},
    {"id": "mark", "name": "Mark", "kind": "still"},
]
LOOKS: list[dict[str, Any]] = [
    {"id": "sea", "name": "Sea", "layers": [
        {"source": "sea", "left_m": 0, "bottom_m": 0, "width_m": 40, "height_m": 10, "straight": True}]},
    {"id": "wide", "name": "Wide", "layers": [
        {"source": "sea", "left_m": 0, "bottom_m": 0, "width_m": 40, "height_m": 10, "straight": True},
        {"source": "cam-1", "left_m": 15, "bottom_m": 2, "width_m": 10, "height_m": 5.625}]},
    {"id": "faces", "name": "Faces", "layers": [
        {"source": "cam-2", "left_m": 0, "bottom_m": 0, "width_m": 20, "height_m": 10},
        {"source": "cam-3", "left_m": 20, "bottom_m": 0, "width_m": 20, "height_m": 10}]},
    {"id": "one", "name": "One face", "layers": [
        {"source": "cam-1", "left_m": 0, "bottom_m": 0, "width_m": 40, "height_m": 10,
         "treatments": [{"kind": "posterize", "levels": 4}]}]},
]  # fmt: skip


def wall_show(port: int = 9000, **more: Any) -> Show:
    """``port`` is where the wall's processor listens."""
    sections = [{"name": "Verse", "bar": 1}, {"name": "Chorus", "bar": 17}]
    first = item(
        "gulls", 120,
        [
            cue("v1", "1", {"at": "bar", "bar": 1}, "video", look={"look": "sea"}),
            cue("v2", "2", {"at": "bar", "bar": 9}, "video", look={"look": "wide", "by": "mix", "beats": 8}),
            cue("v3", "3", {"at": "bar", "bar": 17}, "video", look={"look": "faces", "by": "cut"}),
            cue("v4", "4", {"at": "bar", "bar": 33}, "video", look={"look": "one", "by": "mix", "beats": 8}),
        ],
        tempo=[{"bar": 1, "bpm": 120}], sections=sections,
    )  # fmt: skip
    second = item("lamps", 90, [cue("v5", "5", 10, "video", look={"look": "wide"})])
    outlets = [{"kind": "osc_udp", "id": "processor", "name": "Wall processor", "port": port}]
    sends = [
        {"id": "place", "outlet": "processor", "numbers": "px", "address": "/{input}/{layer}",
         "args": ["{source}", "{x:i}", "{width:i}"]}
    ]  # fmt: skip
    return parse_show(
        json.dumps(
            document(
                [first, second], wall=WALL, sources=SOURCES, looks=LOOKS, outlets=outlets, sends=sends, **more
            )
        )
    )
