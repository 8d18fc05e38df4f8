"""What may not be said of a wall: one sentence each, on reading and after an edit alike."""

import json
from typing import Any

import pytest
from small_shows import cue, item, show
from surface_show import surface_show

from showcaller.editing import ChangeError, Put, SetFields, apply
from showcaller.model import DocumentError, Show, parse_show, show_text

SOURCES = [{"id": "cam", "name": "Cam", "kind": "camera"}]
LOOKS = [
    {
        "id": "wide", "name": "Wide",
        "layers": [{"source": "cam", "left_m": 0, "bottom_m": 0, "width_m": 4, "height_m": 2, "id": "one"}],
    }
]  # fmt: skip
OUTLETS = [{"kind": "osc_udp", "id": "net", "name": "Net", "port": 9000},
           {"kind": "midi", "id": "keys", "name": "Keys", "port": "any"}]  # fmt: skip
SEND = {
    "id": "place",
    "outlet": "net",
    "address": "/{input}/{layer}",
    "args": ["{x}", "{y:i}", 3, "{source} a"],
}


def a_show(look: dict[str, object] | None = None, **more: object) -> Show:
    cues = [cue("a", "1", 0, look={"look": "wide", **(look or {})})]
    return show([item("s", 60, cues)], sources=SOURCES, looks=LOOKS, outlets=OUTLETS, **more)


def test_what_is_right_is_read() -> None:
    assert a_show({"overrides": [{"layer": "one", "opacity": 0.5}]}, sends=[SEND]).sends[0].numbers == "unit"


@pytest.mark.parametrize(
    ("send", "sentence"),
    [
        ({"outlet": "keys"}, "'keys' is midi, which cannot carry osc"),
        ({"outlet": "nobody"}, "no outlet 'nobody'"),
        ({"address": "/{inputs}"}, "nothing is called 'inputs'; there are look, source, input"),
        ({"args": ["{x"]}, "'{x' has a brace without its other half"),
    ],
)
def test_a_template_that_means_nothing(send: dict[str, object], sentence: str) -> None:
    with pytest.raises(DocumentError, match=sentence):
        a_show(sends=[{**SEND, **send}])
    good = a_show(sends=[SEND])
    with pytest.raises(ChangeError, match=sentence):
        apply(good, SetFields(at=("sends", "place"), fields=send))


def test_an_override_of_a_layer_that_is_not_there() -> None:
    with pytest.raises(DocumentError, match="no layer 'two' in this look; it has one"):
        a_show({"overrides": [{"layer": "two"}]})
    with pytest.raises(ChangeError, match="no layer 'two'"):
        apply(
            a_show(),
            SetFields(
                at=("items", "s", "cues", "a"),
                fields={"look": {"look": "wide", "overrides": [{"layer": "two"}]}},
            ),
        )


def test_two_layers_of_one_name() -> None:
    layer = {**LOOKS[0]["layers"][0], "left_m": 1}  # type: ignore[index]
    with pytest.raises(ChangeError, match="'one' is used already by layers"):
        apply(a_show(), Put(at=("looks", "wide", "layers"), index=1, part=layer))


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        ("surfaces.2.id", "left", r"surfaces\[2\].id: 'left' is used already by surfaces\[1\]"),
        ("surfaces.1.pool", "none", "no pool 'none' in this show; it has rack"),
        ("surfaces.1.channels", 4, "Side left has 4 channels of its own and a pool too; leave one"),
        ("surfaces.2.inputs.0.id", "in-a", r"'in-a' is used already by surfaces\[0\].inputs\[0\]"),
        ("looks.1.layers.0.surface", "roof", "no surface 'roof' in this show; it has main, left"),
        ("looks.1.layers.1.also.0.surface", "roof", r"also\[0\].surface: no surface 'roof'"),
        ("looks.1.layers.1.also.1.surface", "left", "the layer is on 'left' already"),
        ("looks.1.layers.1.also.1.surface", "main", "the layer is on 'main' already"),
        ("items.0.cues.1.look.overrides", [{"layer": "sea", "surface": "left", "left_m": 1}],
         "'sea' has no further place on 'left'; it has none"),
        ("items.0.cues.1.look.overrides", [{"layer": "cam-1", "surface": "left", "opacity": 1}],
         "opacity is the whole layer's, not its place's on 'left'"),
    ],
)  # fmt: skip
def test_surfaces_pools_and_places_that_are_not_there(path: str, value: object, sentence: str) -> None:
    body = json.loads(show_text(surface_show()))
    part: Any = body
    *steps, last = [int(p) if p.isdigit() else p for p in path.split(".")]
    for step in steps:
        part = part[step]
    part[last] = value
    with pytest.raises(DocumentError, match=sentence):
        parse_show(json.dumps(body))
    with pytest.raises(ChangeError):  # the quick look after an edit finds the same
        apply(surface_show(), SetFields(at=(), fields={str(steps[0]): body[steps[0]]}))
