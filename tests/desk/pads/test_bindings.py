"""What pads do is kept by controller; a pad does one thing; a file that will not do is left as it is."""

import json

import pytest

from showcaller.desk.areas.wall.grid_places import PLACES as PLACES_OF_THE_GRID
from showcaller.desk.pads.bindings import (
    PLACES,
    BindingError,
    Lights,
    bind,
    listed,
    read_controllers,
    unbind,
    write_controllers,
)
from showcaller.desk.pads.control import Control
from showcaller.desk.pads.lights import to_send, wanted

PAD, OTHER, FADER = Control("note", 1, 36), Control("note", 10, 37), Control("control", 1, 7)


def test_a_binding_is_kept_and_comes_back(tmp_path):
    path = tmp_path / "new" / "controllers.json"
    assert read_controllers(path) == {}
    found = bind(bind(bind({}, "Pads", PAD, "tile 3"), "Pads", FADER, "opacity"), "Knobs", FADER, "amount")
    write_controllers(path, found)
    assert read_controllers(path) == found
    assert listed(found) == (
        ("Knobs", FADER, "amount"), ("Pads", PAD, "tile 3"), ("Pads", FADER, "opacity"),
    )  # fmt: skip
    assert unbind(found, "Knobs", FADER).keys() == {"Pads"}
    assert PLACES == PLACES_OF_THE_GRID


def test_a_pad_does_one_thing_and_a_tile_has_one_pad_of_a_controller():
    found = bind({}, "Pads", PAD, "tile 3")
    with pytest.raises(BindingError, match="note 36, channel 1 of “Pads” is tile 3 already"):
        bind(found, "Pads", PAD, "tile 4")
    assert bind(found, "Pads", PAD, "tile 3") == found
    assert bind(found, "Pads", OTHER, "tile 3")["Pads"].does == {OTHER: "tile 3"}
    with pytest.raises(BindingError, match="opacity needs a fader or a knob"):
        bind(found, "Pads", OTHER, "opacity")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("{", "cannot be read"),
        ("[]", "must hold"),
        (
            '{"P": {"bound": [{"message": "note", "channel": 17, "number": 1, "does": "take"}]}}',
            "channel.*17",
        ),
        ('{"P": {"bound": [{"message": "note", "channel": 1, "number": 1, "does": "go"}]}}', "does.*'go'"),
        ('{"P": {"lights": {"on": 128}}}', "lights.on.*128"),
    ],
)
def test_a_file_that_will_not_do_is_one_sentence_and_stays(tmp_path, text, sentence):
    path = tmp_path / "controllers.json"
    path.write_text(text)
    with pytest.raises(BindingError, match=sentence):
        read_controllers(path)
    assert path.read_text() == text


def test_a_pad_that_is_bound_to_two_things_in_the_file_is_refused(tmp_path):
    path = tmp_path / "controllers.json"
    one = {"message": "note", "channel": 1, "number": 36, "does": "tile 1"}
    path.write_text(json.dumps({"Pads": {"bound": [one, {**one, "does": "take"}]}}))
    with pytest.raises(BindingError, match="does both tile 1 and take; take one of them out"):
        read_controllers(path)


def test_lights_are_notes_that_say_on_next_and_off_and_only_what_changes_is_sent():
    pads = bind(bind(bind({}, "P", PAD, "tile 1"), "P", OTHER, "tile 2"), "P", FADER, "tile 3")["P"]
    assert pads.lights == Lights(on=127, next=64, off=0)
    first = wanted(pads, frozenset({"tile 1"}), frozenset({"tile 2"}))
    assert to_send({}, first) == [b"\x90\x24\x7f", b"\x99\x25\x40"]
    second = wanted(pads, frozenset({"tile 2"}), frozenset())
    assert to_send(first, second) == [b"\x90\x24\x00", b"\x99\x25\x7f"]
    assert to_send(second, second) == []
    assert to_send(second, {}) == [b"\x99\x25\x00"]
