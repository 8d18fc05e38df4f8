"""Messages typed as a line: MIDI kinds, type tags, and what is wrong in one sentence."""

import pytest
from small_shows import item, show

from showcaller.editing import ChangeError
from showcaller.editing.forms.messages import message_hint, message_text, parse_message
from showcaller.engine.encode import encode
from showcaller.model import Cue

SHOW = show(
    [item("a", 10, [])],
    outlets=[
        {"kind": "osc_udp", "id": "wall", "name": "Wall", "port": 9000},
        {"kind": "midi", "id": "synth", "name": "Synth", "port": "synth"},
    ],
)


def message(text):
    cue = {
        "id": "c", "department": "lights", "number": "1", "label": "x",
        "anchor": {"at": "time", "seconds": 0}, "messages": [parse_message(SHOW, text)],
    }  # fmt: skip
    return Cue.model_validate(cue).messages[0]


@pytest.mark.parametrize(
    ("typed", "hex_bytes"),
    [
        # OSC 1.0's own examples (Open Sound Control 1.0 specification, examples page).
        (
            "wall: /oscillator/4/frequency 440.0",
            "2f6f7363696c6c61746f722f342f6672657175656e6379002c66000043dc0000",
        ),
        (
            "wall: /foo 1000 -1 hello 1.234 5.678",
            "2f666f6f000000002c69697366660000000003e8ffffffff68656c6c6f0000003f9df3b640b5b22d",
        ),
        ("synth: note 1 60 100", "903c64"),
        ("synth: note 1 60 0 off", "803c00"),
        ("synth: control 2 7 127", "b1077f"),
        ("synth: program 16 5", "cf05"),
        ("synth: sysex 7E 7F 06 01", "f07e7f0601f7"),
        # MIDI Machine Control PLAY, all devices (02 in the table of commands).
        ("synth: mmc play", "f07f7f0602f7"),
        # RP-002's example cue 235.6, list 36.6, path 59; lighting is format 01, GO 01.
        ("synth: msc go lighting 235.6 36.6 59", "f07f7f0201013233352e360033362e36003539f7"),
    ],
)
def test_what_is_typed_is_what_leaves(typed, hex_bytes):
    made = message(typed)
    assert encode(made, "25").hex() == hex_bytes
    assert message(message_text(SHOW, made)) == made


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("wall: look", "is not an OSC address; it begins with /"),
        ('wall: /a "open', "a quote is not closed"),
        ("wall: /a i:x", "'x' is not a number for i:"),
        ("synth: dance", "'dance' is not a MIDI message"),
        ("synth: note 1", "needs channel note velocity, 1 given"),
        ("synth: note one 60 100", "channel: 'one' is not a whole number"),
        ("synth: msc lighting 3", "needs a command"),
        ("synth: msc go 1 2 3 4", "'4' is one too many"),
    ],
)
def test_what_is_wrong_with_a_message_is_one_sentence(typed, sentence):
    with pytest.raises(ChangeError, match=sentence):
        parse_message(SHOW, typed)


def test_the_hint_follows_the_outlet():
    assert "Outputs: Wall, Synth" in message_hint(SHOW, "")
    assert "/address" in message_hint(SHOW, "wall:")
    assert "note CHANNEL" in message_hint(SHOW, "syn:")
