"""How far the wall is from the plan, in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_played import FIELDS, SHOW, TWICE

from showcaller.screen.away import away_words
from showcaller.screen.looks import layer_keys
from showcaller.screen.played import checked, merged, with_played

NAMES = {s.id: s.name for s in SHOW.sources}
SEA, WIDE, FACES, ONE = SHOW.looks


def away(look, played, planned=None, sources=NAMES) -> str:
    return away_words(planned or look, look, with_played(look, played), played, sources)


@pytest.mark.parametrize(
    ("played", "words"),
    [
        ({}, ""),
        ({"cam-1": {"left_m": 15.0}}, ""),  # set to what it was
        ({"cam-1": {"left_m": 15.0004}}, ""),  # less than a hand can tell
        ({"cam-1": {"left_m": 16}}, "Gate camera moved"),
        ({"cam-1": {"left_m": 16, "opacity": 0.6}, "sea": {"bottom_m": 1}},
         "2 layers moved, Gate camera at 60 %"),
        ({"cam-1": {"opacity": 0.125}}, "Gate camera at 12.5 %"),
        ({"cam-1": {"source": "cam-2"}}, "Roof camera in place of Gate camera"),
        ({"cam-1": {"hidden": True, "left_m": 3}}, "Gate camera out"),
        ({"cam-1": {"hidden": False}}, ""),
        ({"cam-1": {"crop": {"left": 0.2}}}, "Gate camera cropped"),
        ({"cam-1": {"flip": "across"}}, "Gate camera flipped across"),
        ({"cam-1": {"treatments": [{"kind": "posterize", "levels": 4}]}}, "Gate camera posterize 4"),
    ],
)  # fmt: skip
def test_what_was_played_is_said_in_words(played, words) -> None:
    assert away(WIDE, played) == words


def test_another_look_by_hand_is_said_first_then_what_was_played_of_it() -> None:
    assert away(ONE, {}, WIDE) == "“One face” instead of “Wide”"
    assert away(ONE, {"cam-1": {"opacity": 0.5, "treatments": []}}, WIDE) == (
        "“One face” instead of “Wide”, Gate camera at 50 %, Gate camera without treatment"
    )
    assert away_words(None, SEA, SEA, {}, NAMES) == "“Sea” put up by hand"


@given(st.lists(st.tuples(st.integers(0, 2), FIELDS), max_size=5))
def test_words_are_there_exactly_when_a_layer_is_otherwise(changes) -> None:
    keys, played = layer_keys(TWICE), {}
    for n, fields in changes:
        played = merged(played, keys[n], checked(keys[n], fields))
    now = with_played(TWICE, played)

    def known(look):  # to the millimetre, without what its layers are called
        places = ("left_m", "bottom_m", "width_m", "height_m")
        return [
            (x.source, x.opacity, x.crop, x.treatments, x.flip, *(round(getattr(x, p), 3) for p in places))
            for x in look.layers
        ]

    assert bool(away(TWICE, played)) == (known(now) != known(TWICE))
