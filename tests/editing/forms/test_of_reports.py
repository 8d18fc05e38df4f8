"""How desks report, typed and read back."""

import pytest
from small_shows import two_songs

from showcaller.editing.changes import ChangeError, Put, apply
from showcaller.editing.forms.of_reports import parse_report, report_lines
from showcaller.editing.forms.of_setup import parse_setup, setup_lines

OUTLETS = [{"kind": "osc_tcp", "id": "wall", "name": "Wall", "port": 9000}]


@pytest.mark.parametrize(
    "typed",
    [
        "Lights: osc 8000 from 10.0.0.5 as /cue/{cue}/fired",
        "Lights: osc 10.0.0.2:8000 from 10.0.0.5 10.0.0.6 as /fired {cue}; /panic = 2",
        "Video: osc over Wall as /fired {cue}",
        "Lights: osc 8000 from 10.0.0.5; /chorus = 12.5",
        "Moves: show control USB MIDI; device 3; list 1",
        "Moves: notes USB MIDI; channel 2; 60 = 1; 61 = 2.5",
        "Moves: programs USB MIDI",
    ],
)
def test_a_line_comes_back_as_it_was_typed_and_outlives_its_department_being_typed_anew(typed):
    made = two_songs(outlets=OUTLETS)
    department, part = parse_report(made, typed)
    made, _ = apply(made, Put(at=("departments", department, "reports"), index=0, part=part))
    assert [line.text for line in report_lines(made)] == [typed]
    line = next(x for x in setup_lines(made) if x.id == department)
    again = parse_setup(made, "departments", f"{line.text}; seen within 3", department)
    assert again["reports"]
    assert again["seen_within_s"] == 3


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("Lights", "needs a department, a colon"),
        ("Sparks: osc 8000 from 10.0.0.5", "department: 'Sparks' is not one of them"),
        ("Lights: osc 8000", "does not say where it is heard and from whom"),
        ("Lights: osc 8000 from desk as /cue/{cue}", "'desk' is not an address"),
        ("Lights: osc 8000 from 10.0.0.5", "says of no message which cue it means"),
        ("Lights: osc 8000 from 10.0.0.5 as /cue", "does not say where the cue's number stands"),
        ("Lights: osc over Synth as /{cue}", "output over TCP: 'Synth' is not one of them"),
        ("Lights: notes USB; 200 = 1", "give Lights: osc"),
        ("Lights: notes USB; loud", "'loud' is not understood"),
        ("Lights: semaphore", "is not a way to report"),
    ],
)
def test_one_that_cannot_be_read_is_one_sentence(typed, sentence):
    with pytest.raises(ChangeError, match=sentence):
        parse_report(two_songs(outlets=OUTLETS), typed)
