"""What lamps are sent, typed and read back."""

import pytest
from small_shows import two_songs

from showcaller.editing.changes import ChangeError, Put, apply
from showcaller.editing.forms.of_cue_lights import cue_light_lines, parse_cue_light
from showcaller.editing.forms.of_setup import parse_setup, setup_lines
from showcaller.engine.sendable import unsendable

OUTLETS = [
    {"kind": "osc_udp", "id": "desk", "name": "Desk", "port": 9000},
    {"kind": "midi", "id": "synth", "name": "Synth", "port": "synth"},
]


@pytest.mark.parametrize(
    "typed",
    [
        "Lights standby: Desk: /lamp/lights 1",
        "Video standing by: Desk: /lamp 2 true",
        "Moves go: Synth: note 1 60 127",
        "Lights off: Synth: control 2 7 0",
    ],
)
def test_a_line_comes_back_as_it_was_typed_and_outlives_its_department_being_typed_anew(typed):
    made = two_songs(outlets=OUTLETS)
    department, state, part = parse_cue_light(made, typed)
    made, back = apply(made, Put(at=("departments", department, "cue_light", state), index=0, part=part))
    assert [line.text for line in cue_light_lines(made)] == [typed]
    line = next(x for x in setup_lines(made) if x.id == department)
    assert parse_setup(made, "departments", line.text, department)["cue_light"]
    assert not list(unsendable(made))
    assert apply(made, back)[0] == two_songs(outlets=OUTLETS)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("Lights", "'Lights' is not a department and standby, standing by, go or off"),
        ("Lights red: Desk: /lamp 1", "'Lights red' is not a department and standby"),
        ("Sparks go: Desk: /lamp 1", "department: 'Sparks' is not one of them"),
        ("Lights go: Nowhere: /lamp 1", "'Nowhere' is not one of them"),
        ("Lights go: Desk", "has no colon"),
    ],
)
def test_what_cannot_be_meant_is_a_sentence(typed, sentence):
    with pytest.raises(ChangeError) as error:
        parse_cue_light(two_songs(outlets=OUTLETS), typed)
    assert sentence in str(error.value)


def test_an_output_that_is_not_there_or_cannot_carry_it_is_named():
    for outlet in ("synth", "gone"):
        part = {"kind": "osc", "outlet": outlet, "address": "/a"}
        with pytest.raises(ChangeError, match=r"departments\[0\].cue_light.go\[0\].outlet: .*" + outlet):
            apply(
                two_songs(outlets=OUTLETS),
                Put(at=("departments", "lights", "cue_light", "go"), index=0, part=part),
            )
