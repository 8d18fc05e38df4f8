"""What is typed in one line in the Book: a cue with its look, a song with its tempo."""

from fractions import Fraction

import pytest
from wall_show import wall_show

from showcaller.desk.areas.book.typed_lines import read_new_cue, read_new_item
from showcaller.editing import ChangeError

SHOW = wall_show()
SONG = SHOW.items[0]


@pytest.mark.parametrize(
    ("text", "label", "look"),
    [
        ("video 25 Chorus, look: wide, mix over 8", "Chorus", {"look": "wide", "by": "mix", "beats": 8.0}),
        ("video 25 look: Faces", "Faces", {"look": "faces"}),
        ("video 25 Chorus, look wide", "Chorus", {"look": "wide"}),
        ("video 25 Solo, look at the drummer", "Solo, look at the drummer", None),
        ("video 25 Chorus", "Chorus", None),
    ],
)
def test_a_cue_with_its_look(text: str, label: str, look: dict[str, object] | None) -> None:
    cue = read_new_cue(SHOW, SONG, text)
    assert (cue.department, cue.place, cue.label, cue.look) == ("video", "25", label, look)


def test_a_look_that_is_none_is_said() -> None:
    with pytest.raises(ChangeError, match="look: 'widest' is not one of them; there are Sea, Wide"):
        read_new_cue(SHOW, SONG, "video 25 Chorus, look: widest")


@pytest.mark.parametrize(
    ("text", "name", "more"),
    [
        ("Harbour Lights 3:00", "Harbour Lights", {}),
        ("Harbour Lights 3:00, 120", "Harbour Lights", {"tempo": [{"bar": 1, "bpm": 120}]}),
        ("Harbour Lights 3:00, 120.5 bpm, 6/8", "Harbour Lights",
         {"tempo": [{"bar": 1, "bpm": 120.5}], "meters": [{"bar": 1, "meter": "6/8"}]}),
        ("Rise, Fall 3:00", "Rise, Fall", {}),
    ],
)  # fmt: skip
def test_a_song_with_its_tempo(text: str, name: str, more: dict[str, object]) -> None:
    assert read_new_item(text) == ("song", name, Fraction(180), more)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("talk The ferry 1:30, 120", "talk: only a song has a tempo"),
        ("Harbour Lights 3:00, 4/4", "a time signature needs a tempo"),
        ("Harbour Lights 3:00, 120, 4/3", "time signature: '4/3' is not one"),
    ],
)
def test_what_cannot_be_is_said(text: str, why: str) -> None:
    with pytest.raises(ChangeError, match=why):
        read_new_item(text)
