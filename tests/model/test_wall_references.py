"""What may not be said of a wall: one sentence each, on reading and after an edit alike."""

import pytest
from small_shows import cue, item, show

from showcaller.editing import ChangeError, Put, SetFields, apply
from showcaller.model import DocumentError, Show

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
