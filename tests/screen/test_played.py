"""A look with what a hand has changed of it, and the messages that tell the devices so."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from wall_show import wall_show

from showcaller.model import LookChange, LookSend
from showcaller.screen.looks import layer_keys, overridden
from showcaller.screen.played import (
    PLAYABLE,
    PlayedError,
    checked,
    merged,
    overrides_of,
    played_of,
    with_played,
)
from showcaller.screen.sending import gone, messages_of, sends_of

SHOW = wall_show()
WIDE = SHOW.looks[1]
TWICE = WIDE.changed(layers=(WIDE.layers[1], WIDE.layers[1], WIDE.layers[0]))
METRES, SIZES = st.floats(-1000, 1000), st.floats(0.001, 1000)
VALUES = {
    "left_m": METRES, "bottom_m": METRES, "width_m": SIZES, "height_m": SIZES,
    "opacity": st.floats(0, 1), "hidden": st.booleans(),
    "source": st.sampled_from([s.id for s in SHOW.sources]), "flip": st.sampled_from(["none", "both"]),
    "crop": st.fixed_dictionaries({"left": st.floats(0, 0.9)}),
    "treatments": st.sampled_from([[], [{"kind": "posterize", "levels": 4}]]),
}  # fmt: skip
FIELDS = st.fixed_dictionaries({}, optional=VALUES).filter(bool)


@given(st.lists(st.tuples(st.integers(0, 2), FIELDS), max_size=6))
def test_layers_go_by_what_they_went_by_whatever_is_played(changes) -> None:
    keys, played = layer_keys(TWICE), {}
    for n, fields in changes:
        kept = checked(keys[n], fields)
        assert checked(keys[n], kept) == kept  # what is on the log can be played again
        played = merged(played, keys[n], kept)
    made = with_played(TWICE, played)
    assert layer_keys(made) == keys
    for key, layer in zip(keys, made.layers, strict=True):
        if played.get(key, {}).get("hidden"):
            assert layer.opacity == 0
        elif "opacity" in played.get(key, {}):
            assert layer.opacity == played[key]["opacity"]


def test_every_field_that_can_be_played_is_tried_here() -> None:
    assert set(VALUES) == set(PLAYABLE)


def test_a_treatment_that_is_none_is_refused_in_a_sentence() -> None:
    with pytest.raises(PlayedError, match=r"^treatments is a list of treatments; not"):
        checked("cam-1", {"treatments": [{"kind": "sepia"}]})


def template(ident: str, *args: str, per: str = "layer and input") -> LookSend:
    return LookSend(id=ident, outlet="processor", per=per, address="/{input}/{layer}", args=args)


def test_a_field_is_told_by_the_templates_that_have_it_and_no_other() -> None:
    show = SHOW.changed(sends=(
        template("place", "{x:i}"), template("fade", "{opacity}"), template("what", "{source}"),
        template("tint", "{treatment}"), template("look", "{look}", per="look"),
    ))  # fmt: skip
    assert sends_of(show, ["left_m"]) == ("place",)
    assert sends_of(show, ["opacity"]) == ("fade",)
    assert sends_of(show, ["hidden"]) == ("place", "fade")
    assert sends_of(show, ["source", "treatments"]) == ("what", "tint")
    assert sends_of(show, ["soft_edge_m"]) == ()


def test_one_layer_alone_is_told_as_it_is_in_the_whole_look() -> None:
    whole = messages_of(SHOW, WIDE, LookChange(look="wide"))
    one = messages_of(SHOW, WIDE, LookChange(look="wide"), only=("place", 2))
    assert one == tuple(s for s in whole if s.layer == 2)
    assert [s.input_id for s in one] == ["in-b", "in-c"]


def test_an_input_that_a_layer_has_left_is_told_that_it_has_no_size_there() -> None:
    (said,) = gone(SHOW, WIDE, LookChange(look="wide"), ("place", 2), [("main", "in-b")])
    assert (said.message.address, said.message.args) == ("/in-b/2", ("cam-1", 0, 0))


def test_a_treatment_is_told_in_words() -> None:
    show = SHOW.changed(sends=(template("tint", "{treatment}", "{flip}"),))
    played = {"cam-1": {"treatments": [{"kind": "posterize", "levels": 4}], "flip": "across"}}
    told = messages_of(show, with_played(WIDE, played), LookChange(look="wide"), only=("tint", 2))
    assert told[0].message.args == ("posterize 4", "across")


@given(FIELDS)
def test_what_is_played_can_be_a_cues_own_and_comes_back(fields) -> None:
    played = {"cam-1": checked("cam-1", fields)}
    made = overrides_of(WIDE, played)
    assert overrides_of(WIDE, played_of(made)) == made
    if not fields.get("hidden"):
        like, own = (
            [x.changed(id=None) for x in look.layers]
            for look in (with_played(WIDE, played), overridden(WIDE, made))
        )
        assert like == own


def test_one_of_two_layers_of_a_name_cannot_be_a_cues_own() -> None:
    with pytest.raises(PlayedError, match="has 2 layers called 'cam-1': give one its own"):
        overrides_of(TWICE, {"cam-1#2": {"opacity": 1}})
