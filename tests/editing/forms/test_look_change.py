"""A look's change typed and shown: what is shown, typed again, changes nothing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, item, show

from showcaller.editing.changes import ChangeError, apply
from showcaller.editing.forms.look_change import EASES, WAYS, look_change_text, parse_how, parse_look_change
from showcaller.editing.forms.of_cue import cue_fields, edit_cue
from showcaller.model import LookChange

WALL = {
    "width_m": 8, "height_m": 4, "width_px": 800, "height_px": 400, "panel_px": [100, 100], "channels": 2,
    "inputs": [{"id": "i", "name": "I", "x_px": 0, "y_px": 0, "width_px": 800, "height_px": 400}],
}  # fmt: skip
LAYER = {"source": "cam", "left_m": 0, "bottom_m": 0, "width_m": 4, "height_m": 4}
NAMES = {
    "gw": "Gulls wide",
    "gm": "Gulls wide mix",
    "cut": "Rope",
    "n1": "Night",
    "n2": "Night",
    "c": "Sea, far",
}


@pytest.fixture(scope="module")
def looks():
    """A show whose looks' names are as awkward as names are."""
    made = [{"id": k, "name": n, "layers": [LAYER]} for k, n in NAMES.items()]
    change = {"look": "gw", "by": "mix", "beats": 8, "ease": "slow end",
              "overrides": [{"layer": "cam", "opacity": 0.5}]}  # fmt: skip
    more = {"wall": WALL, "looks": made, "sources": [{"id": "cam", "name": "Cam", "kind": "camera"}]}
    return show([item("s", 60, [cue("a", "1", 0, look=change)])], **more)


CHANGES = st.builds(
    LookChange,
    look=st.sampled_from(list(NAMES)),
    by=st.sampled_from(WAYS),
    beats=st.integers(0, 2560).map(lambda n: n / 10),
    ease=st.sampled_from(EASES),
)


@given(CHANGES)
def test_what_is_shown_typed_again_is_the_same(looks, change):
    text = look_change_text(looks, change)
    assert LookChange.model_validate(parse_look_change(looks, text)) == change
    without = text.replace(",", " ") if change.look != "c" else text
    assert LookChange.model_validate(parse_look_change(looks, without)) == change


@pytest.mark.parametrize(
    ("text", "look", "how"),
    [
        ("gulls wide mix 2", "gw", {"by": "mix", "beats": 2.0}),
        ("Gulls wide mix, cut", "gm", {}),
        ("gulls wide mix mix over 4 beats", "gm", {"by": "mix", "beats": 4.0}),
        ("rope move over 8 beats, slow end", "cut", {"by": "move", "beats": 8.0, "ease": "slow end"}),
        ("gw, wipe 1 even", "gw", {"by": "wipe", "beats": 1.0, "ease": "even"}),
        ("sea, far, mix 2", "c", {"by": "mix", "beats": 2.0}),
    ],
)
def test_commas_may_be_left_out_where_nothing_can_be_confused(looks, text, look, how):
    assert parse_look_change(looks, text) == {"look": look, **how}


def test_retyping_how_it_comes_changes_only_that(looks):
    before = next(f.text for f in cue_fields(looks, "a") if f.key == "look")
    assert before == "Gulls wide, mix 8, slow end"
    changed = edit_cue(looks, "a", "look", "Gulls wide, mix 4, slow end").change
    after = apply(looks, changed)[0].items[0].cues[0].look
    was = looks.items[0].cues[0].look
    assert (after.beats, after.ease, after.overrides) == (4.0, was.ease, was.overrides)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("night", "look: there are 2 called '[Nn]ight'; give n1 or n2"),
        ("gulls wide, mix two", "'two' is not a number of beats or an ease; give 'mix 2'"),
        ("gulls wide, mix 300", "300 beats are too long; 256 at most"),
        ("gulls wide, dissolve 2", "'dissolve' is not one of them; there are cut, mix, move, wipe"),
        ("sunset", "look: 'sunset' is not one of them"),
    ],
)
def test_what_cannot_be_meant_is_one_sentence(looks, text, sentence):
    with pytest.raises(ChangeError, match=sentence):
        parse_look_change(looks, text)


def test_a_way_without_its_beats_is_asked_for_where_it_is_played():
    assert parse_how("mix") == {"by": "mix"}
    with pytest.raises(ChangeError, match="say over how many beats: mix 8"):
        parse_how("mix", beats_needed=True)
