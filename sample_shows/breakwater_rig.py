"""Breakwater's rig: who is called, who clears, where people walk, the wall and what goes on it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from breakwater_pages import PAGES

from showcaller.editing.reading_media import look
from showcaller.outside import Within

Json = dict[str, Any]

DEPARTMENTS: list[Json] = [
    {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"},
    {"id": "video", "name": "Video", "letters": "VID", "shape": "square", "hue": "sky"},
    {"id": "sound", "name": "Sound", "letters": "SND", "shape": "diamond", "hue": "orange"},
    {"id": "spots", "name": "Spots", "letters": "SP", "shape": "triangle", "hue": "white"},
    {"id": "moves", "name": "Moves", "letters": "MV", "shape": "bar", "hue": "pink", "reaction_s": 0.5},
    {"id": "deck", "name": "Deck", "letters": "DK", "shape": "hexagon", "hue": "green"},
    {"id": "effects", "name": "Effects", "letters": "FX", "shape": "cross", "hue": "vermilion"},
]

OUTLETS: list[Json] = [
    {"kind": "osc_udp", "id": "lighting-desk", "name": "Lighting desk", "host": "127.0.0.1", "port": 39001},
    {"kind": "osc_udp", "id": "wall-processor", "name": "Wall processor", "host": "127.0.0.1", "port": 39002},
    {
        "kind": "osc_tcp", "id": "sound-playback", "name": "Sound playback", "host": "127.0.0.1",
            "port": 39003,
        "framing": "slip",
    },
    {"kind": "osc_udp", "id": "gantry-controller", "name": "Gantry controller", "host": "127.0.0.1",
        "port": 39004},
    {"kind": "midi", "id": "show-control", "name": "Show control", "port": "showcaller-sample"},
]  # fmt: skip

CLEARANCES: list[Json] = [
    {"kind": "yes", "id": "stage-set", "name": "Stage set", "position": "Deck chief"},
    {"kind": "yes", "id": "lane-clear", "name": "Crowd lane clear", "position": "Head of crowd safety"},
    {"kind": "yes", "id": "buoy-safe", "name": "Buoy ready", "position": "Buoy stage manager"},
    {"kind": "yes", "id": "crane-zone", "name": "Crane zone clear", "position": "Crane spotter"},
    {
        "kind": "reading", "id": "crane-gust", "name": "Gust at the crane head", "position": "Crane operator",
        "unit": "m/s", "limit": 9.0, "stale_after_s": 180, "source": "set piece engineer's letter",
    },
    {"kind": "yes", "id": "effects-area", "name": "Effects area clear", "position": "Effects spotter"},
    {"kind": "yes", "id": "effects-yes", "name": "Effects technician's yes",
        "position": "Licensed technician"},
]  # fmt: skip

ROUTES: list[Json] = [
    {
        "id": "lane-to-buoy", "name": "Crowd lane to the Buoy",
        "legs": [
            {"name": "Wing stairs down", "length_m": 9.0, "stairs": 11, "pace_m_s": 0.7},
            {"name": "Along the pit", "length_m": 26.0},
            {"name": "Crowd lane", "length_m": 54.0, "pace_m_s": 0.8, "clearances": ["lane-clear"]},
            {"name": "Steps up the Buoy", "length_m": 3.5, "stairs": 7, "pace_m_s": 0.5,
                "clearances": ["buoy-safe"]},
        ],
        "people": [
            {"name": "Tamsin Vale", "task": "leads with the torch"},
            {"name": "Ossian Reyk", "task": "walks behind Wren"},
            {"name": "Petra Lund", "task": "holds the lane gate"},
        ],
        "camera": "track camera pulls back ahead of Wren", "preroll_s": 20,
    },
    {
        "id": "tunnel-to-buoy", "name": "Tunnel to the Buoy, if the lane is refused",
        "legs": [
            {"name": "Wing stairs down", "length_m": 9.0, "stairs": 11, "pace_m_s": 0.7},
            {"name": "Service tunnel", "length_m": 118.0},
            {"name": "Hatch steps up", "length_m": 4.0, "stairs": 14, "pace_m_s": 0.4,
                "clearances": ["buoy-safe"]},
        ],
        "people": [
            {"name": "Tamsin Vale", "task": "leads with the torch"},
            {"name": "Ossian Reyk", "task": "walks behind Wren"},
        ],
        "camera": "Buoy camera waits on the hatch", "preroll_s": 25,
    },
]  # fmt: skip

WALL: Json = {
    "id": "main", "name": "Main wall",
    "width_m": 42.0, "height_m": 10.5, "width_px": 3500, "height_px": 875, "panel_px": [125, 125],
    "inputs": [
        {"id": f"in-{n + 1}", "name": name, "x_px": 875 * n, "y_px": 0, "width_px": 875, "height_px": 875}
        for n, name in enumerate(["Far left", "Left", "Right", "Far right"])
    ],
    "channels": 10,
    "back_row_m": 96.0, "white_cd_m2": 1400.0, "ambient_cd_m2": 2.5, "black_w_m2": 55.0, "white_w_m2": 480.0,
}  # fmt: skip


def _side(ident: str, name: str, stands: str) -> Json:
    """A side screen, upright, one input, on the pool both share; of the wall's own panels."""
    size = {"width_m": 6.0, "height_m": 9.0, "width_px": 500, "height_px": 750}
    one = {"id": f"in-{ident}", "name": name, "x_px": 0, "y_px": 0, "width_px": 500, "height_px": 750}
    figures = {n: WALL[n] for n in ("white_cd_m2", "ambient_cd_m2", "black_w_m2", "white_w_m2")}
    return {"id": ident, "name": name, "stands": stands, **size, "panel_px": [125, 125], "inputs": [one],
            "pool": "side-rack", **figures}  # fmt: skip


SIDES: list[Json] = [_side("side-left", "Side left", "left"), _side("side-right", "Side right", "right")]
POOLS: list[Json] = [{"id": "side-rack", "name": "Side rack", "channels": 4}]


def _source(ident: str, name: str, kind: str, wide: int = 1920, high: int = 1080, file: str = "") -> Json:
    """A source with its moving picture; a camera's has somebody who stands in for the act."""
    media = f"media/{file or ident}.mp4"
    said = look(Within(), str(Path(__file__).parent / media), media)
    size = {"width_px": wide, "height_px": high}
    return {"id": ident, "name": name, "kind": kind, **size, "media": media, "file": said}


SOURCES: list[Json] = [
    _source("cam-front", "Front camera", "camera"),
    _source("cam-left", "Left wing camera", "camera"),
    _source("cam-track", "Track camera", "camera"),
    _source("cam-crane", "Crane head camera", "camera"),
    _source("cam-buoy", "Buoy camera", "camera"),
    _source("harbour", "Harbour at dawn", "clip", 3500, 875),
    _source("tide", "Tide coming in", "clip", 3500, 875),
    _source("fires", "Signal fires", "clip", 3500, 875),
    _source("letters", "Salt letters", "clip", 3500, 875),
    _source("lines", "Drawn ropes", "generator", 1750, 875, "ropes"),
    _source("names", "Names of the boats", "live"),
    _source("lamps", "Quay lamps", "clip", 3500, 875),
    _source("gulls", "Gulls", "clip", 3500, 875),
    _source("crane", "Drawn crane", "clip", 3500, 875),
]


def _full(source: str, **more: Any) -> Json:
    """A layer over the whole wall."""
    return {"source": source, "left_m": 0.0, "bottom_m": 0.0, "width_m": 42.0, "height_m": 10.5, **more}


def _panel(source: str, left_m: float, width_m: float, **more: Any) -> Json:
    """A layer of the wall's height."""
    return {"source": source, "left_m": left_m, "bottom_m": 0.0, "width_m": width_m, "height_m": 10.5, **more}


_SIDEWAYS = {"left": 0.3125, "right": 0.3125}  # 2:3 out of the middle of 16:9


def _on_sides(layer: Json, *sides: str) -> Json:
    """The layer on the side screens as well, cut upright."""
    whole = {"left_m": 0.0, "bottom_m": 0.0, "width_m": 6.0, "height_m": 9.0, "crop": _SIDEWAYS}
    return {**layer, "also": [{"surface": f"side-{s}", **whole} for s in sides or ("left", "right")]}


_UPRIGHT = {"left": 0.21875, "right": 0.21875}  # a square out of the middle of 16:9

LOOKS: list[Json] = [
    {"id": "black", "name": "Black"},
    {"id": "harbour-dawn", "name": "Harbour dawn", "layers": [_full("harbour", straight=True)]},
    {
        "id": "wren-and-harbour", "name": "Wren and the harbour",
        "layers": [
            _full("harbour", straight=True), _on_sides(_panel("cam-front", 10.5, 10.5, crop=_UPRIGHT)),
        ],
    },
    {
        "id": "wren-wide", "name": "Wren wide",
        "layers": [_on_sides(_panel("cam-front", 11.666, 18.667))],
    },
    {
        "id": "ropes", "name": "Ropes",
        "layers": [
            _panel("lines", 0.0, 21.0), _panel("lines", 21.0, 21.0),
            _on_sides(_panel("cam-left", 10.5, 10.5, crop=_UPRIGHT, treatments=[
                {"kind": "monochrome"}, {"kind": "contrast", "amount": 1.8}])),
        ],
    },
    {
        "id": "knots", "name": "Knots",
        "layers": [
            _panel("cam-front", 0.0, 10.5, crop=_UPRIGHT), _panel("cam-left", 10.5, 10.5, crop=_UPRIGHT),
            _panel("cam-track", 21.0, 10.5, crop=_UPRIGHT), _panel("cam-left", 31.5, 10.5, crop=_UPRIGHT),
        ],
    },
    {
        "id": "tide-rising", "name": "Tide rising",
        "layers": [
            _full("tide", straight=True),
            _on_sides(_panel("cam-track", 31.5, 10.5, crop=_UPRIGHT, opacity=0.85)),
        ],
    },
    {
        "id": "salt-letters", "name": "Salt letters",
        "layers": [
            _full("letters", straight=True),
            _on_sides(_panel("cam-front", 26.25, 10.5, crop=_UPRIGHT, opacity=0.9)),
        ],
    },
    {
        "id": "crane-head", "name": "Crane head",
        "layers": [
            _on_sides(_panel("cam-crane", 2.333, 18.667), "left"),
            _on_sides(_panel("cam-front", 31.5, 10.5, crop=_UPRIGHT), "right"),
        ],
    },
    {
        "id": "at-the-buoy", "name": "At the Buoy",
        "layers": [_on_sides(_panel("cam-buoy", 0.0, 10.5, crop=_UPRIGHT)), _panel("cam-buoy", 31.5, 10.5,
            crop=_UPRIGHT)],
    },
    {
        "id": "strings", "name": "Strings",
        "layers": [
            {"source": "cam-left", "left_m": 1.5, "bottom_m": 1.5, "width_m": 13.333, "height_m": 7.5},
            _on_sides(
                {"source": "cam-front", "left_m": 27.167, "bottom_m": 1.5, "width_m": 13.333, "height_m": 7.5}
            ),
        ],
    },
    {
        "id": "fires", "name": "Fires",
        "layers": [_full("fires", straight=True), _on_sides(_panel("cam-front", 15.75, 10.5, crop=_UPRIGHT,
            opacity=0.8))],
    },
    {
        "id": "boat-names", "name": "Boat names",
        "layers": [
            {"source": "names", "left_m": 21.0, "bottom_m": 2.25, "width_m": 10.667, "height_m": 6.0},
            _on_sides(_panel("cam-front", 0.0, 10.5, crop=_UPRIGHT)),
        ],
    },
    {"id": "lamps", "name": "Lamps", "layers": [_full("lamps", straight=True)]},
    {
        "id": "wren-and-lamps", "name": "Wren wide, lamps",
        "layers": [_full("lamps", straight=True), _on_sides(_panel("cam-front", 11.666, 18.667))],
    },
    {
        "id": "gulls", "name": "Gulls, white",
        "layers": [
            _full("gulls", straight=True), _on_sides(_panel("cam-front", 31.5, 10.5, crop=_UPRIGHT)),
        ],
    },
    {"id": "drawn-crane", "name": "Crane, drawn", "layers": [_full("crane", straight=True)]},
]  # fmt: skip

SENDS: list[Json] = [
    {"id": "look", "outlet": "wall-processor", "per": "look", "address": "/look/{look}",
        "args": ["{by}", "{seconds}"]},
    {"id": "place", "outlet": "wall-processor", "numbers": "px", "address": "/input/{input}/layer/{layer}",
        "args": ["{source}", "{x}", "{y}", "{width}", "{height}", "{opacity}"]},
    {"id": "tally", "outlet": "wall-processor", "per": "camera", "address": "/camera/{number}/tally",
        "args": ["{tally:i}"]},
]  # fmt: skip

TOP: Json = {
    "id": "breakwater", "name": "Breakwater", "act": "Wren Halloway", "venue": "Kestrel Dock Arena",
    "starts_at": "20:45", "curfew": "23:00", "timecode_rate": "25",
    "departments": DEPARTMENTS, "outlets": OUTLETS, "clearances": CLEARANCES, "routes": ROUTES,
    "surfaces": [WALL, *SIDES], "pools": POOLS, "sources": SOURCES, "looks": LOOKS, "sends": SENDS,
    "pages": PAGES,
}  # fmt: skip
