"""Edits of looks as changes with inverses; what is typed into a layer's fields."""

from typing import Any

import pytest
from wall_show import wall_show

from showcaller.desk.areas.wall.layer_fields import layer_edit, layer_fields
from showcaller.desk.areas.wall.look_changes import (
    LayerPlace,
    add_layers,
    change_from_text,
    here_only,
    move_layer,
    new_look,
    set_change,
    set_layer,
    take_layer,
)
from showcaller.desk.areas.wall.look_line import LookLine
from showcaller.desk.areas.wall.making import new_sources, new_wall
from showcaller.desk.areas.wall.templates import send_from, send_text
from showcaller.editing import Change, ChangeError, Put, apply
from showcaller.model import Show

SHOW = wall_show()
CAM = next(s for s in SHOW.sources if s.id == "cam-1")
LAYER = SHOW.looks[1].layers[1]


def done(show: Show, change: Change) -> Show:
    """The changed show; the inverse must give the old one back."""
    changed, inverse = apply(show, change)
    assert apply(changed, inverse)[0] == show
    return changed


def test_layers_are_changed_added_moved_and_taken_out() -> None:
    place = LayerPlace("gulls", "v2", "wide", "cam-1")
    assert done(SHOW, set_layer(SHOW, place, None, {"left_m": 3.5})).looks[1].layers[1].left_m == 3.5
    change, key = add_layers(SHOW, "wide", SHOW.surfaces[0], "gate")
    more = done(SHOW, change)
    assert key == "cam-1-2"
    new = more.looks[1].layers[2]
    assert new.width_m / new.height_m == pytest.approx(16 / 9, rel=1e-3)
    assert [x.key for x in done(more, move_layer(more, "wide", key, -1)).looks[1].layers] == [
        "sea",
        key,
        "cam-1",
    ]
    assert [x.key for x in done(SHOW, take_layer(SHOW, "wide", "sea")).looks[1].layers] == ["cam-1"]
    with pytest.raises(ChangeError, match="there is no layer 'cam-9' in “Wide”"):
        take_layer(SHOW, "wide", "cam-9")


def test_a_layer_that_is_overridden_in_a_place_is_changed_in_that_place_only() -> None:
    cue = SHOW.items[0].cues[1]
    assert cue.look is not None
    change = cue.look.changed(overrides=({"layer": "cam-1", "left_m": 1.0},))
    show = done(SHOW, set_change("gulls", "v2", change))
    place = LayerPlace("gulls", "v2", "wide", "cam-1")
    moved = done(show, set_layer(show, place, change, {"left_m": 9.0, "bottom_m": 1.0}))
    look = moved.items[0].cues[1].look
    assert look is not None
    assert (look.overrides[0].left_m, look.overrides[0].bottom_m) == (9.0, 1.0)
    assert moved.looks == SHOW.looks


def test_one_of_two_layers_of_a_name_gets_an_id_to_be_otherwise_here() -> None:
    twice = done(SHOW, Put(at=("looks", "wide", "layers"), index=2, part={
        "source": "cam-1", "left_m": 1, "bottom_m": 1, "width_m": 2, "height_m": 1}))  # fmt: skip
    cue = twice.items[0].cues[1]
    assert cue.look is not None
    place = LayerPlace("gulls", "v2", "wide", "cam-1#2")
    change, name = here_only(twice, place, cue.look, twice.looks[1].layers[2])
    made = done(twice, change)
    look = made.items[0].cues[1].look
    assert look is not None
    assert (name, made.looks[1].layers[2].id, look.overrides[0].layer) == ("cam-1-2", "cam-1-2", "cam-1-2")
    soft = done(
        made, set_layer(made, LayerPlace("gulls", "v2", "wide", name), look, {"left_m": 4, "soft_edge_m": 1})
    )
    changed = soft.items[0].cues[1].look
    assert changed is not None
    assert (changed.overrides[0].left_m, soft.looks[1].layers[2].soft_edge_m) == (4, 1)


def test_a_new_look_begins_as_another_and_no_two_have_one_name() -> None:
    change, ident = new_look(SHOW, LookLine("Wide again", "", None, {}), SHOW.looks[1])
    made = done(SHOW, change).looks[-1]
    assert (ident, made.name, made.layers) == ("wide-again", "Wide again", SHOW.looks[1].layers)
    assert new_look(SHOW, LookLine("Été & nuit", "", None, {}), None)[1] == "ete-nuit"
    with pytest.raises(ChangeError, match="a look is called “wide” already; type another name"):
        new_look(SHOW, LookLine("wide", "", None, {}), None)


@pytest.mark.parametrize("key", [f.key for f in layer_fields(LAYER, CAM) if f.key != "source"])
def test_what_a_field_shows_can_be_typed_back(key: str) -> None:
    layer = LAYER.changed(
        crop={"left": 0.1}, opacity=0.5, treatments=({"kind": "posterize", "levels": 4},), arrives="grow",
        arrives_after=2, arrives_over=4,
    )  # fmt: skip
    field = next(f for f in layer_fields(layer, CAM) if f.key == key)
    assert layer.changed(**layer_edit(layer, CAM, key, field.text)) == layer


@pytest.mark.parametrize(
    ("key", "text", "fields"),
    [
        ("size", "16", {"width_m": 16.0, "height_m": 9.0}),
        ("size", "8,5 x 5.1", {"width_m": 8.5, "height_m": 5.1}),
        ("place", "-1.5, 2", {"left_m": -1.5, "bottom_m": 2.0}),
        ("opacity", "85", {"opacity": 0.85}),
        ("straight", "Yes", {"straight": True}),
        ("arrives", "with the look", {"arrives": "with the look", "arrives_after": 0.0, "arrives_over": 0.0}),
        ("soft", "0.5 m", {"soft_edge_m": 0.5}),
    ],
)
def test_what_people_type(key: str, text: str, fields: dict[str, Any]) -> None:
    assert layer_edit(LAYER, CAM, key, text) == fields


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("size", "big", "width × height: type width x height"),
        ("place", "4", "left, bottom: bottom missing"),
        ("treatments", "sepia", "treatment: 'sepia' is none"),
        ("straight", "perhaps", "type yes or no"),
        ("arrives", "later", "arrives: type with the look"),
        ("opacity", "150", "opacity: type 0 to 100 %, not '150'"),
        ("crop", "left 60 % right 60 %", "left and right together cut away all of it"),
        ("flip", "sideways", "flip: type none, across, down or both; not 'sideways'"),
    ],
)
def test_what_means_nothing(key: str, text: str, words: str) -> None:
    with pytest.raises(ChangeError, match=words):
        layer_edit(LAYER, CAM, key, text)


def test_how_a_look_comes_in_words() -> None:
    change = change_from_text("wide", "Mix over 8 beats, slow end")
    assert (change.by, change.beats, change.ease) == ("mix", 8, "slow end")
    for text, words in (
        ("fade 3", "there are cut, mix, move, wipe"),
        ("mix", "say over how many beats"),
        ("mix 900", "too long"),
    ):
        with pytest.raises(ChangeError, match=words):
            change_from_text("wide", text)


def test_a_template_is_typed_and_read_back() -> None:
    send = SHOW.sends[0]
    assert send_text(send) == "processor, layer and input, px: /{input}/{layer} {source} {x:i} {width:i}"
    assert send_from(SHOW, send_text(send), "place") == send.model_dump(mode="json")
    typed = send_from(SHOW, "processor, look: /go '{look} now' 3 2.5 true", None)
    assert typed["args"] == ["{look} now", 3, 2.5, True]
    assert (typed["per"], typed["numbers"], typed["id"]) == ("look", "unit", "processor")
    with pytest.raises(ChangeError, match="output, layer and input"):
        send_from(SHOW, "nonsense", None)


def test_a_wall_and_a_source_are_made_from_a_line() -> None:
    bare = SHOW.changed(surfaces=(), sends=())
    made = done(bare, new_wall(bare, "43 x 10.5 m, 3500 x 875 px, 3 inputs, 10 channels, panels 125")).wall
    assert made is not None
    assert [(i.name, i.x_px, i.width_px) for i in made.inputs] == [
        ("input A", 0, 1167), ("input B", 1167, 1166), ("input C", 2333, 1167),
    ]  # fmt: skip
    assert (made.channels, made.panel_px) == (10, (125, 125))
    with pytest.raises(ChangeError, match="size and pixels and inputs and channels missing; type 42"):
        new_wall(bare, "large")
    with pytest.raises(ChangeError, match=r"^channels missing; type"):
        new_wall(bare, "43 x 10.5 m, 3500 x 875 px, 3 inputs")
    # 60 px is the largest side that divides both, so that no panel is cut.
    walled = done(bare, new_wall(bare, "172 ft x 62 ft, 5160 x 1860 px, 3 inputs, 8 channels"))
    assert walled.surfaces[0].panel_px == (60, 60)
    with pytest.raises(ChangeError, match="has a wall already"):
        new_wall(SHOW, "large")
    change, ids = new_sources(SHOW, "Söa, clip, clips/sea.mp4, 3500x875; Soa, camera")
    source, second = done(SHOW, change).sources[-2:]
    assert (ids, source.name, source.kind, source.media, source.width_px) == (
        ("soa", "soa-2"), "Söa", "clip", "clips/sea.mp4", 3500,
    )  # fmt: skip
    assert (second.name, second.kind) == ("Soa", "camera")
    with pytest.raises(ChangeError, match="a source is called Lake already; type another name first"):
        new_sources(SHOW, "Lake, camera; Lake, live")
    with pytest.raises(ChangeError, match=r"after its name comes camera, clip, .*; nothing follows"):
        new_sources(SHOW, "Lake")
    with pytest.raises(ChangeError, match=r"source Bad: after its name comes camera, .*; not 'banana'"):
        new_sources(SHOW, "Bad, banana, nofile")
