"""Looks into messages: places in px and in parts of the whole, and the bytes a device really gets."""

import json

import pytest
from pythonosc.osc_message import OscMessage as Parsed
from small_shows import cue, document, item
from walls import make_wall

from showcaller.engine.encode import encode
from showcaller.model import LookChange, Show, parse_show
from showcaller.screen.sending import messages_of

WALL = make_wall([1000, 1000], 1000)


def a_show(*sends: dict[str, object], rotation: int = 0) -> Show:
    wall = json.loads(WALL.model_dump_json())
    wall["inputs"][1]["rotation"] = rotation
    look = {
        "id": "wide", "name": "Wide",
        "layers": [
            {"source": "clip", "left_m": 0, "bottom_m": 0, "width_m": 20, "height_m": 10, "straight": True},
            {"source": "cam", "left_m": 5, "bottom_m": 2.5, "width_m": 10, "height_m": 5, "opacity": 0.5},
        ],
    }  # fmt: skip
    clip = {"id": "clip", "name": "Clip", "kind": "clip", "width_px": 2000, "height_px": 1000}
    sources = [{"id": "cam", "name": "Cam", "kind": "camera"}, clip]
    outlets = [{"kind": "osc_udp", "id": "net", "name": "Net", "port": 9000}]
    items = [item("s", 60, [cue("a", "1", 0, "video", look={"look": "wide"})])]
    return parse_show(
        json.dumps(
            document(items, wall=wall, sources=sources, looks=[look], outlets=outlets, sends=list(sends))
        )
    )


def sent(show: Show, **change: object) -> list[tuple[str, list[object]]]:
    found = messages_of(show, show.looks[0], LookChange.model_validate({"look": "wide", **change}), 2.5)
    parsed = [Parsed(encode(s.message)) for s in found]
    return [(p.address, list(p.params)) for p in parsed]


def test_a_message_for_each_layer_and_input_in_px() -> None:
    show = a_show(
        {"id": "p", "outlet": "net", "numbers": "px", "address": "/{input}/{layer}/place",
         "args": ["{x}", "{y}", "{width:i}", "{height:i}", "{source}", "{opacity}"]},
    )  # fmt: skip
    assert sent(show) == [
        ("/in-0/1/place", [0.0, 0.0, 1000, 1000, "clip", 1.0]),
        ("/in-1/1/place", [0.0, 0.0, 1000, 1000, "clip", 1.0]),
        ("/in-0/2/place", [500.0, 250.0, 500, 500, "cam", 0.5]),
        ("/in-1/2/place", [0.0, 250.0, 500, 500, "cam", 0.5]),
    ]


def test_parts_of_the_whole_and_the_crop_of_the_source() -> None:
    show = a_show(
        {"id": "p", "outlet": "net", "address": "/crop",
         "args": ["{x}", "{width}", "{crop_x}", "{crop_width}", "{layer}"]},
    )  # fmt: skip
    assert sent(show)[2:] == [("/crop", [0.5, 0.5, 0.0, 0.5, 2]), ("/crop", [0.0, 0.5, 0.5, 0.5, 2])]


def test_a_turned_input_gets_places_in_its_own_raster() -> None:
    show = a_show(
        {"id": "p", "outlet": "net", "address": "/p", "numbers": "px",
         "args": ["{x:i}", "{y:i}", "{width:i}", "{height:i}", "{turn}"]},
        rotation=90,
    )  # fmt: skip
    # On the wall 0, 250, 500 × 500 of the input; turned clockwise by 90 its raster's x runs down the wall.
    assert sent(show)[3] == ("/p", [250, 500, 500, 500, 90])


def test_once_a_layer_and_once_a_look() -> None:
    show = a_show(
        {"id": "clear", "outlet": "net", "per": "look", "address": "/clear",
         "args": [True, "{look} by {by}"]},
        {"id": "l", "outlet": "net", "per": "layer", "numbers": "px", "address": "/l/{n}",
         "args": ["{x}", "{seconds}", "{beats}"]},
    )  # fmt: skip
    assert sent(show, by="mix", beats=5) == [
        ("/clear", [True, "wide by mix"]),
        ("/l/1", [0.0, 2.5, 5.0]),
        ("/l/2", [500.0, 2.5, 5.0]),
    ]


@pytest.mark.parametrize("numbers", ["px", "unit"])
def test_the_parts_of_a_layer_add_up_in_what_is_sent(numbers: str) -> None:
    show = a_show(
        {"id": "p", "outlet": "net", "numbers": numbers, "address": "/p", "args": ["{crop_width}", "{layer}"]}
    )
    whole = {"px": 1920.0, "unit": 1.0}[numbers]
    assert sum(args[0] for _, args in sent(show) if args[1] == 2) == pytest.approx(whole)
